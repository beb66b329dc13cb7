"""The workshop's card and its people, and what to do when lye splashes."""

from django.contrib.auth import get_user_model
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import Group
from django.db import transaction
from django.shortcuts import render

from production import actions
from production.actions.people import owner_only
from production.forms.cards import PersonForm, WorkshopForm
from production.models import Workshop
from production.views.pages import card_page, write_page


def workshop(request):
    people = get_user_model().objects.filter(is_active=True).prefetch_related("groups")
    return render(
        request,
        "production/workshop.html",
        {"card": Workshop.objects.first(), "people": people.order_by("username")},
    )


def workshop_change(request):
    row = Workshop.objects.first() or Workshop(pk=1)
    return card_page(
        request,
        WorkshopForm(request.POST or None, instance=row),
        actions.set_up_workshop,
        title="Change the workshop's card",
        says="Who makes the soap, how to reach them, and whom to call in an emergency.",
        button="Write the card",
        done="The card is written.",
        to="workshop",
    )


def person_add(request):
    return write_page(
        request,
        PersonForm(request.POST or None),
        add_person,
        title="Add a person",
        says="Only an owner may. A maker records; an owner also decides.",
        button="Add the person",
        done=lambda person: f"{person} may sign in now.",
        to="workshop",
    )


@transaction.atomic
def add_person(*, username, password, group, by):
    """Give somebody a key to the house."""
    owner_only(by, "add a person")
    person = get_user_model().objects.create_user(username, password=password)
    person.groups.add(Group.objects.get(name=group))
    return person


@login_not_required
def splash(request):
    """Reachable by anybody at any time: seconds count."""
    card = Workshop.objects.first()
    numbers = card.emergency.splitlines() if card else []
    return render(
        request,
        "production/splash.html",
        {"numbers": [line.strip() for line in numbers if line.strip()]},
    )
