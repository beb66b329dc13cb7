"""Who may do what: an owner decides, a maker records."""

from typing import Any

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
