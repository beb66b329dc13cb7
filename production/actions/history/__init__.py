"""Moving in: a history file is replayed through the same deeds as the pages."""

import hashlib
from typing import Any

from django.db import transaction

from production.actions.deeds import take_the_pen

# Each registers what its kinds of events do.
from production.actions.history import (  # noqa: F401
    cards,
    ledger,
    making,
    recipes,
    restoring,
    trade,
)
from production.actions.history.words import replay
from production.actions.lost_codes import written_again
from production.actions.people import signs_only
from production.actions.workshop import set_up_workshop
from production.domain import history
from production.domain.history import EVENTS, read_part
from production.domain.refusal import Refused
from production.models import Deed, Workshop

CLERK = "history"


def clerk() -> Any:
    """The inactive user who signs for an imported past; made on first use."""
    return signs_only(CLERK)


@transaction.atomic
def import_history(*, text: str, by: Any = None) -> int:
    """Replay a whole file or nothing, and say how many events; twice is noticed."""
    currency, groups = history.read(text)
    mark = hashlib.sha256(text.encode()).hexdigest()[:16]
    take_the_pen()
    if Deed.objects.filter(key__startswith=f"{history.PAST}{mark}:").exists():
        raise Refused("This very file was imported before. Nothing was added.")
    _agree_on_currency(currency)
    by = by or clerk()
    for number, group in enumerate(groups, start=1):
        if group.where not in EVENTS:
            raise group.fault("this type of event is not known.")
        act = {"by": by, "key": f"{history.PAST}{mark}:{number}"}
        try:
            # Its codes were given out by its own hand.
            with written_again():
                replay(read_part(EVENTS[group.where], group, "type"), act)
        except Refused as fault:
            if str(fault).startswith(f"Line {group.line}"):
                raise
            raise group.fault(str(fault)) from fault
    return len(groups)


def _agree_on_currency(currency: str) -> None:
    workshop = Workshop.objects.first()
    if workshop is None:
        set_up_workshop(name="Workshop", currency=currency)
    elif workshop.currency != currency and Deed.objects.exists():
        raise Refused(
            f"The file is in {currency}, the workshop in {workshop.currency}. "
            "One workshop keeps one currency."
        )
    else:
        set_up_workshop(currency=currency)
