"""Who may do what: an owner decides, a maker records."""

from typing import Any

from axes.utils import reset
from django.contrib.auth import get_user_model
from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.contrib.auth.models import Group
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from production.actions.deeds import ensure_valid
from production.domain.refusal import Refused
from production.models import Deed

OWNER = "owner"
MAKER = "maker"


def is_owner(user: Any) -> bool:
    return bool(user.is_superuser or user.groups.filter(name=OWNER).exists())


def owner_only(user: Any, what: str) -> None:
    if not is_owner(user):
        raise Refused(f"Only an owner may {what}. Ask one to sign in and do it.")


def reason_asked(deed: Deed, what: str) -> None:
    """Some deeds are only done with a reason."""
    if not deed.reason.strip():
        raise Refused(f"Write the reason for {what}.")


@transaction.atomic
def add_person(*, username: str, password: str, group: str, by: Any) -> Any:
    """Give somebody a key to the house."""
    owner_only(by, "add a person")
    person = get_user_model()(username=username)
    _give(person, password)
    ensure_valid(person)
    person.save()
    person.groups.set([_part(group)])
    return person


@transaction.atomic
def change_person(*, person: Any, group: str, active: bool, by: Any) -> Any:
    """Say what somebody may do, and whether they may sign in at all.

    Nobody is ever deleted: their deeds are signed.
    """
    # One hand at a time, or two owners could shut each other out.
    Group.objects.select_for_update().get(name=OWNER)
    owner_only(by, "change what a person may do")
    _signs_in(person)
    if not (active and group == OWNER):
        _leave_an_owner(person)
    person.groups.set([_part(group)])
    person.is_active, fields = active, ["is_active"]
    if group == MAKER:
        # Whoever runs the machine is an owner by this alone.
        person.is_superuser = person.is_staff = False
        fields += ["is_superuser", "is_staff"]
    person.save(update_fields=fields)
    return person


@transaction.atomic
def set_password(*, person: Any, password: str, by: Any) -> Any:
    """Give somebody who forgot theirs a new password, and open the door again."""
    owner_only(by, "give somebody a new password")
    _signs_in(person)
    _give(person, password)
    person.save(update_fields=["password"])
    reset(username=person.get_username())
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
