"""Who may do what: an owner decides, a maker records."""

from typing import Any

from django.contrib.auth import get_user_model

from production.quantities.domain.refusal import Refused
from production.record.models.ink import Deed

OWNER = "owner"


MAKER = "maker"


def is_owner(user: Any) -> bool:
    return bool(user.is_superuser or user.groups.filter(name=OWNER).exists())


def signs_only(name: str) -> Any:
    """Who signs where no person acted, and never signs in; made on first use."""
    user, fresh = get_user_model().objects.get_or_create(
        username=name, defaults={"is_active": False, "is_superuser": True}
    )
    if fresh:
        user.set_unusable_password()
        user.save(update_fields=["password"])
    return user


def owner_only(user: Any, what: str) -> None:
    if not is_owner(user):
        raise Refused(f"Only an owner may {what}. Ask one to sign in and do it.")


def not_above_oneself(user: Any, *deeds: Deed) -> None:
    """A maker does not undo what an owner has signed.

    Whoever signs for a past that was moved in never signs in, and is no owner here.
    """
    if not is_owner(user) and any(
        deed.by.has_usable_password() and is_owner(deed.by) for deed in deeds
    ):
        raise Refused("This was written by an owner: ask one to mend it.")


def reason_asked(deed: Deed, what: str) -> None:
    """Some deeds are only done with a reason."""
    if not deed.reason.strip():
        raise Refused(f"Write the reason for {what}.")
