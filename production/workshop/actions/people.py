"""Who may do what: an owner decides, a maker records."""

from datetime import date
from typing import Any

from axes.utils import reset
from django.contrib.auth import get_user_model
from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.contrib.auth.models import Group
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.actions.people import MAKER, OWNER, is_owner, owner_only
from production.record.actions.restating import restate
from production.record.models.ink import Deed, Restated


def _person_of(deed: Deed) -> Any:
    """The person that a deed was about, for a form that was sent twice."""
    row = Restated.objects.filter(deed=deed, of=Restated.Of.PERSON).first()
    return get_user_model().objects.get(pk=row.row)


def _told(deed: Deed, person: Any, **changed: tuple[Any, Any]) -> None:
    said = {name: pair for name, pair in changed.items() if pair[0] != pair[1]}
    if not said:
        raise Refused(f"It is so already: nothing of {person} was changed.")
    restate(deed, Restated.Of.PERSON, person.pk, said)


@deed(
    "add a person",
    finds=_person_of,
    stays="A person stays in the book: say on their card that they may not sign in.",
)
def add_person(deed: Deed, *, username: str, password: str, group: str) -> Any:
    """Let somebody sign in."""
    owner_only(deed.by, deed.verb)
    person = get_user_model()(username=username)
    _give(person, password)
    written(person)
    person.groups.set([_part(group)])
    _told(deed, person, group=("", group), active=("", True))
    return person


@deed(
    "change what a person may do",
    finds=_person_of,
    stays="Change the card of the person again.",
)
def change_person(deed: Deed, *, person: Any, group: str, active: bool) -> Any:
    """Say what somebody may do, and whether they may sign in at all.

    Nobody is ever deleted: their deeds are signed.
    """
    owner_only(deed.by, deed.verb)
    _signs_in(person)
    if not (active and group == OWNER):
        _leave_an_owner(person)
    before = get_user_model().objects.get(pk=person.pk)
    part, entered = OWNER if is_owner(before) else MAKER, before.is_active
    person.groups.set([_part(group)])
    person.is_active, fields = active, ["is_active"]
    if group == MAKER:
        # Whoever runs the machine is an owner by this alone.
        person.is_superuser = person.is_staff = False
        fields += ["is_superuser", "is_staff"]
    person.save(update_fields=fields)
    _told(deed, person, group=(part, group), active=(entered, active))
    return person


@deed("give a new password", finds=_person_of, stays="Give another password.")
def set_password(deed: Deed, *, person: Any, password: str) -> Any:
    """Give somebody who forgot theirs a new password, and open the door again."""
    owner_only(deed.by, "give somebody a new password")
    _signs_in(person)
    _give(person, password)
    person.save(update_fields=["password"])
    reset(username=person.get_username())
    _told(deed, person, password=("", "a new one was given"))
    return person


@deed("let somebody in again", finds=_person_of, stays="Nothing is left to take back.")
def unlock(deed: Deed, *, person: Any) -> Any:
    """Forget the wrong passwords that shut a name out, wherever they were typed."""
    if deed.by.pk != person.pk:
        owner_only(deed.by, deed.verb)
    _signs_in(person)
    if not reset(username=person.get_username()):
        raise Refused(
            f"{person} is not shut out. If the password is forgotten, give a new one."
        )
    restate(deed, Restated.Of.PERSON, person.pk, {"tries": ("", "forgotten")})
    return person


@deed("change one's own password", finds=_person_of, stays="Change the password again.")
def change_own_password(deed: Deed, *, password: str) -> Any:
    """Take another password oneself; every session but this one ends."""
    _give(deed.by, password)
    deed.by.save(update_fields=["password"])
    restate(deed, Restated.Of.PERSON, deed.by.pk, {"password": ("", "own, changed")})
    return deed.by


@transaction.atomic
def add_owner(*, username: str, password: str, on: date) -> Any:
    """Let an owner in from the machine itself, where nobody need be signed in.

    Whoever has the machine has the book. The deed is signed by the person it is about:
    the first one, or one who is let in again with a new password.
    """
    people = get_user_model()
    # The model's own manager takes unlike forms of one letter for the same.
    username = people.normalize_username(username)
    person = people.objects.filter(username=username).first()
    fresh = person is None
    if person is None:
        person = people(username=username)
        _give(person, password)
        written(person)
    else:
        _signs_in(person)
    return _own(person=person, password=password, fresh=fresh, on=on, by=person)


@deed("let an owner in at the machine", stays="Say on their card what they may do.")
def _own(deed: Deed, *, person: Any, password: str, fresh: bool) -> Any:
    part = "" if fresh else OWNER if is_owner(person) else MAKER
    entered = "" if fresh else person.is_active
    _give(person, password)
    person.is_active = True
    person.save(update_fields=["password", "is_active"])
    person.groups.set([_part(OWNER)])
    reset(username=person.get_username())
    given = ("", "" if fresh else "a new one was given")
    _told(deed, person, group=(part, OWNER), active=(entered, True), password=given)
    return person


def _give(person: Any, password: str) -> None:
    try:
        validate_password(password, person)
    except ValidationError as fault:
        raise Refused(" ".join(fault.messages)) from fault
    person.set_password(password)


def _part(group: str) -> Group:
    if group not in (OWNER, MAKER):
        raise Refused(f"A person is an {OWNER} or a {MAKER}, not {group!r}.")
    return Group.objects.get(name=group)


def _signs_in(person: Any) -> None:
    if not person.has_usable_password():
        raise Refused(f"{person} only signs for a past that was moved in here.")


def _leave_an_owner(person: Any) -> None:
    """Somebody must stay who can let the others in."""
    groups = get_user_model().groups.through.objects
    owns = groups.filter(user=OuterRef("pk"), group__name=OWNER)
    others = (
        get_user_model()
        .objects.filter(Q(is_superuser=True) | Exists(owns), is_active=True)
        .exclude(password__startswith=UNUSABLE_PASSWORD_PREFIX)
        .exclude(pk=person.pk)
    )
    if not others.exists():
        raise Refused(
            f"{person} is the last owner who may sign in. Make another person an "
            "owner first."
        )
