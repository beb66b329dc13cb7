"""What several events name alike: their day, lots, batches, places and items."""

from collections.abc import Callable
from typing import Any

from production.actions.lots import NewLot
from production.actions.workshop import ensure_item, ensure_place
from production.domain import history
from production.domain.history import Event, Part, said
from production.models import Batch, Item, Lot, Place

# Who signs, and the key under which the deed is known.
Act = dict[str, Any]


def dated(event: history.Dated | history.Answered, act: Act) -> dict[str, Any]:
    return {**act, "on": event.on, "reason": event.reason}


def lot_named(part: Part, code: str) -> Lot:
    lot = Lot.objects.filter(code=code).select_related("item").first()
    if lot is None:
        raise part.fault(f"there is no lot {code} yet.")
    return lot


def batch_named(part: Part, code: str) -> Batch:
    batch = Batch.objects.filter(code=code).first()
    if batch is None:
        raise part.fault(f"there is no batch {code} yet.")
    return batch


def place_named(name: str | None) -> Place | None:
    return ensure_place(name) if name else None


NAMED: dict[str, Callable[[Part, str], Any]] = {
    "lot": lot_named,
    "batch": batch_named,
    "place": lambda part, name: place_named(name),
    "to": lambda part, name: ensure_place(name),
}


def found(event: Event, act: Act) -> dict[str, Any]:
    """All that an event says, and of what it names the rows."""
    facts = {**act, **said(event)}
    for name, find in NAMED.items():
        if facts.get(name) is not None:
            facts[name] = find(event, facts[name])
    return facts


def by(deed: Callable[..., Any], **always: Any) -> Callable[[Any, Act], None]:
    """The replay of events whose fields are the words of their deed."""
    return lambda event, act: deed(**found(event, act), **always)


def new_lot(part: history.Opening | history.OneLot | history.LotOfLine) -> NewLot:
    return NewLot(code=part.lot, amount=part.amount, **said(part.goods))


def item_of(
    part: history.Opening | history.OneLot | history.SeveralLots | history.Output,
) -> Item:
    return ensure_item(
        name=part.item, unit=part.unit, kind=part.kind, category=part.category
    )
