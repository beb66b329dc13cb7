"""What every event says: its day, its lots, its place."""

from decimal import Decimal
from typing import Any

from production.actions.lots import NewLot
from production.actions.workshop import ensure_item, ensure_place
from production.domain.history import Event
from production.models import Batch, Item, Lot, Place


def dated(event: Event, act: dict[str, Any]) -> dict[str, Any]:
    """Who, by which key, on which day and why; whether it is a past goes apart."""
    said = {"on": event.day("date"), "reason": event.text("reason", "")}
    return {"by": act["by"], "key": act["key"], **said}


def first_status(event: Event, act: dict[str, Any]) -> str:
    """A past says with what word a lot begins; else its own guards answer that."""
    return event.text("status", "released" if act["past"] else "")


def lot_named(event: Event, key: str = "lot") -> Lot:
    code = event.text(key)
    lot = Lot.objects.filter(code=code).select_related("item").first()
    if lot is None:
        raise event.fault(f"there is no lot {code} yet.")
    return lot


def batch_named(event: Event) -> Batch:
    code = event.text("batch")
    batch = Batch.objects.filter(code=code).first()
    if batch is None:
        raise event.fault(f"there is no batch {code} yet.")
    return batch


def place_named(event: Event, key: str = "place") -> Place | None:
    name = event.words(key)
    return ensure_place(name) if name else None


def new_lot(event: Event, code: str, act: dict[str, Any]) -> NewLot:
    return NewLot(
        code=code,
        amount=event.number("amount"),
        supplier_lot=event.text("supplier_lot", ""),
        expires=event.maybe_day("expires"),
        net_mass=event.maybe("net_mass"),
        status=first_status(event, act),
        constituents=shares_of(event),
        labelled=event.maybe_day("labelled"),
    )


def shares_of(event: Event) -> dict[str, Decimal]:
    """The constituents of a fragrance, as fractions of it."""
    constituents = event.raw("constituents", {})
    if not isinstance(constituents, dict):
        raise event.fault("'constituents' is a group in braces.")
    shares = Event(constituents, event.line, f"{event.where}, constituents")
    return {inci: shares.number(inci) for inci in constituents}


def item_of(event: Event, kind: str) -> Item:
    return ensure_item(
        name=event.text("item"),
        unit=event.text("unit"),
        kind=event.text("kind", kind),
        category=event.text("category", ""),
    )
