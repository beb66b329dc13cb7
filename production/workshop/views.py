"""The workshop's card and its people, and what to do when lye splashes."""

import re

from django.contrib.auth import get_user_model
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import AnonymousUser
from django.db import DatabaseError
from django.shortcuts import get_object_or_404, redirect, render

from production.pages.views.pages import card_page, signed_page, write_page
from production.record.actions.people import is_owner
from production.record.models.ink import Restated
from production.record.models.workshop import Workshop
from production.record.reads.countries import countries
from production.record.reads.restated import history_of
from production.workshop.actions.cards import add_vessel, change_vessel, change_workshop
from production.workshop.actions.people import (
    add_person,
    change_person,
    set_password,
    unlock,
)
from production.workshop.forms.cards import (
    NewPasswordForm,
    PersonForm,
    RoleForm,
    UnlockForm,
    VesselForm,
    WorkshopForm,
)
from production.workshop.models.places import Vessel

# A number as people write it; "24 h" beside it is none.
NUMBER = re.compile(r"\+?\(?\d[\d ().\-\u2011]*\d")
SHORTEST = 3


def workshop(request):
    people = get_user_model().objects.prefetch_related("groups")
    card = Workshop.objects.first()
    return render(
        request,
        "production/workshop/workshop.html",
        {
            "card": card,
            "country": countries().get(card.country) if card else None,
            # Without a password one only signs for a past that was moved in.
            "people": [
                person
                for person in people.order_by("-is_active", "username")
                if person.has_usable_password()
            ],
            "owns": is_owner(request.user),
            "vessels": [(row, row.volume / 1000) for row in Vessel.objects.all()],
        },
    )


def workshop_change(request):
    row = Workshop.objects.first() or Workshop(pk=1)
    return write_page(
        request,
        WorkshopForm(request.POST or None, instance=row),
        change_workshop,
        title="Change the workshop's card",
        says="Who makes the soap, how to reach them, and whom to call in an emergency. "
        "Only an owner may.",
        button="Write the card",
        done="The card is written.",
        to="workshop",
    )


def vessel_add(request):
    return card_page(
        request,
        VesselForm(request.POST or None),
        add_vessel,
        title="Add a vessel",
        says="A kettle, a pot, a jug: what it holds to the brim, and what it weighs "
        "empty.",
        button="Add the vessel",
        done=lambda vessel: f"{vessel} is on its card.",
        to="workshop",
    )


def vessel_change(request, pk):
    shown = get_object_or_404(Vessel, pk=pk)
    return card_page(
        request,
        VesselForm(request.POST or None, instance=shown),
        change_vessel,
        # A fresh row: the form has written its answers on the one it shows.
        extra={"vessel": get_object_or_404(Vessel, pk=pk)},
        title=f"Change {shown.name}",
        button="Write the card",
        to="workshop",
    )


def person_add(request):
    return signed_page(
        request,
        PersonForm(request.POST or None),
        add_person,
        title="Add a person",
        says="Only an owner may. A maker records; an owner also decides.",
        button="Add the person",
        done=lambda person: f"{person} may sign in now.",
        to="workshop",
    )


def person(request, pk):
    found = get_object_or_404(get_user_model(), pk=pk)
    return signed_page(
        request,
        RoleForm(request.POST or None, person=found),
        change_person,
        extra={"person": found},
        record=(Restated.Of.PERSON, found.pk),
        title=f"What {found} may do",
        template="production/workshop/person.html",
        restated=history_of(Restated.Of.PERSON, found.pk),
        says="Only an owner may change it. Nobody is struck out: their entries are "
        "signed.",
        button="Write it",
        done=f"It is written what {found} may do.",
        to="workshop",
    )


def person_password(request, pk):
    found = get_object_or_404(get_user_model(), pk=pk)
    if found == request.user:
        return redirect("password")
    return signed_page(
        request,
        NewPasswordForm(found, request.POST or None),
        set_password,
        extra={"person": found},
        title=f"A new password for {found}",
        says="For somebody who forgot theirs. Tell it to them, and let them change it.",
        button="Give the password",
        done=f"{found} may sign in with the new password.",
        to="workshop",
    )


def person_unlock(request, pk):
    found = get_object_or_404(get_user_model(), pk=pk)
    return signed_page(
        request,
        UnlockForm(request.POST or None),
        unlock,
        extra={"person": found},
        title=f"Let {found} in again",
        says="After too many wrong passwords a name is shut out for up to an hour, "
        "where they were typed. This forgets them; the password stays as it is.",
        button="Forget the wrong passwords",
        done=f"{found} may try again.",
        to="workshop",
    )


@login_not_required
def splash(request):
    """Reachable by anybody at any time: seconds count."""
    try:
        card = Workshop.objects.first()
    except DatabaseError:
        # First aid needs no book: neither the numbers on the card nor who asks.
        card, request.user = None, AnonymousUser()
    lines = card.emergency.splitlines() if card else []
    return render(
        request,
        "production/workshop/splash.html",
        {"numbers": [to_call(line) for line in lines if line.strip()]},
    )


def to_call(line):
    """A line of the card as (words, what a phone dials), "" for words without a number.

    With one number the whole line is tapped, with several each of them.
    """
    line = line.strip()
    found = [(run, _dialled(run.group())) for run in NUMBER.finditer(line)]
    full = [one for one in found if len(one[1]) >= SHORTEST] or found[:1]
    if len(full) < 2:
        return [(line, f"tel:{full[0][1]}" if full else "")]
    parts, at = [], 0
    for run, digits in full:
        parts += [(line[at : run.start()], ""), (run.group(), f"tel:{digits}")]
        at = run.end()
    return [(words, dials) for words, dials in [*parts, (line[at:], "")] if words]


def _dialled(number):
    """Digits alone; from abroad the 0 in brackets is left out."""
    if number.startswith("+"):
        number = number.replace("(0)", "")
    return re.sub(r"[^\d+]", "", number)
