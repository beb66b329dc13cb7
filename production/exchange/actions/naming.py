"""What several events name alike: their day, lots, batches, places and items."""

from collections.abc import Callable
from typing import Any, TypedDict

from production.exchange import domain as history
from production.record.domain.keys import UNSAID, Event, Part, said
from production.stock.actions.opening_lots import NewLot
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot
from production.workshop.actions.cards import ensure_item, ensure_place
from production.workshop.models.items import Item
from production.workshop.models.places import Place


class Act(TypedDict):
    """Who signs, the key under which the deed is known, and whether it is a past."""

    by: Any
    key: str
    past: bool


def signed(act: Act) -> dict[str, Any]:
    return {"by": act["by"], "key": act["key"]}


def dated(event: history.Dated | history.Answered, act: Act) -> dict[str, Any]:
    return {**signed(act), "on": event.on, "reason": event.reason}


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


def found(event: Event) -> dict[str, Any]:
    """All that an event says, and of what it names the rows."""
    facts = said(event)
    for name, find in NAMED.items():
        if facts.get(name) is not None:
            facts[name] = find(event, facts[name])
    return facts


def by(
    deed: Callable[..., Any],
    today: Callable[..., Any] | None = None,
    *,
    knows_a_past: bool = False,
) -> Callable[[Any, Act], None]:
    """The replay of events whose fields are the words of their deed.

    ``today`` is the deed of what is told as of today, where it is another one;
    ``knows_a_past`` a deed that asks less of a past.
    """

    def replay(event: Event, act: Act) -> None:
        facts = found(event) | signed(act)
        if knows_a_past:
            facts["past"] = act["past"]
        (today if today and not act["past"] else deed)(**facts)

    return replay


def first_status(part: history.Goods | history.Output, act: Act) -> dict[str, Any]:
    """A past says with what word a lot begins; else its own guards answer that."""
    if part.status is not UNSAID:
        return {"status": part.status}
    return {"status": "released"} if act["past"] else {}


def new_lot(
    part: history.Opening | history.OneLot | history.LotOfLine, act: Act
) -> NewLot:
    goods = said(part.goods) | first_status(part.goods, act)
    return NewLot(code=part.lot, amount=part.amount, **goods)


def item_of(
    part: history.Opening | history.OneLot | history.SeveralLots | history.Output,
) -> Item:
    return ensure_item(
        name=part.item, unit=part.unit, kind=part.kind, category=part.category
    )
