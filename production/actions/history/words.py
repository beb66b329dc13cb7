"""What several events name alike: their day, lots, batches, places and items."""

from functools import singledispatch
from typing import Any

from production.actions.lots import NewLot
from production.actions.workshop import ensure_item, ensure_place
from production.domain import history
from production.domain.history import Event, Part, said
from production.models import Batch, Item, Lot, Place

# Who signs, and the key under which the deed is known.
Act = dict[str, Any]


@singledispatch
def replay(event: Event, act: Act) -> None:
    """Do what an event tells: each kind by a function of its own."""
    raise NotImplementedError(event.type_name)


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


def of_lot(event: history.OfLot, act: Act) -> dict[str, Any]:
    return {**dated(event, act), "lot": lot_named(event, event.lot)}


def of_batch(event: history.OfBatch, act: Act) -> dict[str, Any]:
    return {**dated(event, act), "batch": batch_named(event, event.batch)}


def new_lot(part: history.Opening | history.OneLot | history.LotOfLine) -> NewLot:
    return NewLot(code=part.lot, amount=part.amount, **said(part.goods))


def item_of(
    part: history.Opening | history.OneLot | history.SeveralLots | history.Output,
) -> Item:
    return ensure_item(
        name=part.item, unit=part.unit, kind=part.kind, category=part.category
    )
