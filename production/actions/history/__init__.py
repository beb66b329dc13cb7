"""Moving in: a history file is replayed through the same deeds as the pages."""

import hashlib
from collections.abc import Callable
from typing import Any

from django.db import transaction

from production.actions.deeds import take_the_pen
from production.actions.history import (
    cards,
    ledger,
    making,
    recipes,
    restoring,
    trade,
)
from production.actions.lost_codes import written_again
from production.actions.people import signs_only
from production.actions.workshop import set_up_workshop
from production.domain import history
from production.domain.history import Event
from production.domain.refusal import Refused
from production.models import Deed, Workshop

CLERK = "history"

EVENTS: dict[str, Callable[[Event, dict[str, Any]], None]] = {
    "workshop": cards.replay_workshop,
    "party": cards.replay_party,
    "item": cards.replay_item,
    "vessel": cards.replay_vessel,
    "hint": cards.replay_hint,
    "formula": recipes.replay_formula,
    "opening": ledger.replay_opening,
    "purchase": trade.replay_purchase,
    "price": trade.replay_price,
    "extra_cost": trade.replay_extra_cost,
    "tap": ledger.replay_tap,
    "batch": making.replay_run,
    "use": making.replay_use,
    "work": making.replay_batch_work,
    "batch_loss": making.replay_batch_loss,
    "loss_renamed": making.replay_loss_renamed,
    "batch_lost": making.replay_batch_lost,
    "step": making.replay_step,
    "make": making.replay_make,
    "hold": making.replay_hold,
    "promotion": making.replay_promotion,
    "measurement": making.replay_measurement,
    "check_taken_back": making.replay_check_taken_back,
    "fragrance_document": ledger.replay_document,
    "status": ledger.replay_status,
    "open_pack": ledger.replay_open_pack,
    "count": ledger.replay_count,
    "reweigh": ledger.replay_reweigh,
    "given": ledger.replay_given,
    "move": ledger.replay_move,
    "sale": trade.replay_sale,
    "return": trade.replay_return,
    "look": trade.replay_look,
    "loss": ledger.replay_loss,
    "closing": ledger.replay_closing,
    "restored": restoring.replay_restored,
}


def clerk() -> Any:
    """The inactive user who signs for an imported past; made on first use."""
    return signs_only(CLERK)


@transaction.atomic
def import_history(*, text: str, by: Any = None) -> int:
    """Replay a whole file or nothing, and say how many events; twice is noticed."""
    currency, events = history.read(text)
    mark = hashlib.sha256(text.encode()).hexdigest()[:16]
    take_the_pen()
    if Deed.objects.filter(key__startswith=f"{history.PAST}{mark}:").exists():
        raise Refused("This very file was imported before. Nothing was added.")
    _agree_on_currency(currency)
    by = by or clerk()
    # Its codes were given out by its own hand.
    with written_again():
        for number, event in enumerate(events, start=1):
            carry_out(event, by=by, key=f"{history.PAST}{mark}:{number}", past=True)
    return len(events)


def carry_out(event: Event, *, by: Any, key: str = "", past: bool = False) -> None:
    """Write what an event tells, by the deed of its kind; its line is in the refusal.

    ``past`` is taken over from an earlier book, whose own hand judged it. Else all
    that a page would ask is asked of it.
    """
    if event.where not in EVENTS:
        raise event.fault("this type of event is not known.")
    event.raw("type")
    try:
        EVENTS[event.where](event, {"by": by, "key": key, "past": past})
    except Refused as fault:
        if str(fault).startswith(f"Line {event.line}"):
            raise
        raise event.fault(str(fault)) from fault
    event.done()


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
