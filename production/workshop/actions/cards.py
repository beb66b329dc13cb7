"""The plain cards: the workshop, its items, suppliers, customers and places."""

import re
from decimal import Decimal
from typing import Any
from zoneinfo import available_timezones

from django.db import IntegrityError, transaction

from production.buying.models import Supplier
from production.fitness.domain.reasons import Purpose, fit_for
from production.fitness.reads.rows import load
from production.quantities.domain.refusal import Refused
from production.quantities.domain.unseen import refuse_name
from production.record.actions.deeds import ensure_valid, written
from production.record.models.ink import Deed
from production.record.reads.clock import today
from production.selling.models import Customer
from production.stock.models.kept import Stock
from production.stock.models.ledger import Item, Lot
from production.workshop.actions.people import owner_only
from production.workshop.actions.roles import (
    owner_decides,
    propose_label,
    refuse_at_odds,
    weighty,
)
from production.workshop.models.workshop import Place, Vessel, Workshop


@transaction.atomic
def set_up_workshop(**facts: Any) -> Workshop:
    """Write who makes the soap; only what is given changes."""
    row = Workshop.objects.select_for_update().first() or Workshop(pk=1)
    if "zone" in facts and facts["zone"] not in available_timezones():
        raise Refused(
            f"{facts['zone']!r} is no time zone. "
            "Choose a zone from the list, as America/New_York."
        )
    if "currency" in facts:
        facts["currency"] = _one_currency(row, facts["currency"].strip().upper())
    for name, value in facts.items():
        setattr(row, name, value)
    return written(row)


def _one_currency(row: Workshop, currency: str) -> str:
    if not re.fullmatch("[A-Z]{3}", currency):
        raise Refused("Write the currency as its three letters, as USD or EUR.")
    said = not row._state.adding
    if said and currency != row.currency and Deed.objects.exists():
        raise Refused(
            f"The book is written in {row.currency}: its currency stays. "
            "Foreign invoices have a rate of their own."
        )
    return currency


@transaction.atomic
def change_workshop(*, by: Any, **facts: Any) -> Workshop:
    """Change the card that stands behind every label and record."""
    owner_only(by, "change the workshop's card")
    return set_up_workshop(**facts)


@transaction.atomic
def add_item(*, name: str, otherwise: bool = False, **facts: Any) -> Item:
    """Add a material or product. A label name that fits its name is proposed.

    What is called a strong alkali is one; ``otherwise`` where an owner has said that
    it is none.
    """
    item = Item(name=name, **facts)
    propose_label(item)
    if not otherwise:
        refuse_at_odds(item)
    return _card(item)


@transaction.atomic
def change_item(*, item: Item, **facts: Any) -> Item:
    """Change the plain facts of a card, and say what was left open.

    What changes what it counts as is a deed of its own: ``restate_item``.
    """
    changed = weighty(item, facts)
    if owner_decides(item, facts, changed):
        raise Refused(
            f"This changes what {item} counts as: an owner does it on the item's "
            "page, with the reason."
        )
    return write_through(item, facts)


def write_through(item: Item, facts: dict[str, Any]) -> Item:
    """Write a card as it is told; the unit stays, since its lots are counted in it."""
    if facts.get("unit", item.unit) != item.unit and item.lots.exists():
        raise Refused(f"{item} has lots counted in {item.unit}: its unit stays.")
    return _changed(item, facts)


def ensure_item(*, name: str, unit: str, kind: str, category: str = "") -> Item:
    """Find an item by its name, or add it; a different unit is a different thing."""
    item = Item.objects.filter(name=name).first()
    if item is None:
        if category and Item(name=name, kind=kind).named_alkali():
            category = Item.Category.ALKALI
        return add_item(name=name, unit=unit, kind=kind, category=category)
    if item.unit != unit:
        raise Refused(f"{name} is counted in {item.unit}, not in {unit}.")
    if category and not item.category:
        return change_item(item=item, category=category)
    return item


@transaction.atomic
def add_supplier(*, name: str, **facts: Any) -> Supplier:
    return _card(Supplier(name=name, **facts))


@transaction.atomic
def change_supplier(*, supplier: Supplier, **facts: Any) -> Supplier:
    return _changed(supplier, facts)


@transaction.atomic
def add_customer(*, name: str, **facts: Any) -> Customer:
    return _card(Customer(name=name, **facts))


@transaction.atomic
def change_customer(*, customer: Customer, **facts: Any) -> Customer:
    return _changed(customer, facts)


@transaction.atomic
def add_place(*, name: str, customer: Customer | None = None) -> Place:
    return _card(Place(name=name, customer=customer))


@transaction.atomic
def change_place(*, place: Place, **facts: Any) -> Place:
    """Rename it, or say whose shop it is: what stands there is then out of hand."""
    if facts.get("customer") and facts["customer"] != place.customer:
        if place.apart:
            raise Refused(f"{place} is for what came back: it is nobody's shop.")
        _may_stand_there(place)
    return _changed(place, facts)


def _may_stand_there(place: Place) -> None:
    left = Stock.objects.filter(place=place, amount__gt=0)
    lots = list(Lot.objects.filter(pk__in=left.values("lot")))
    family = load(lots).family(today())
    for lot in lots:
        if reasons := fit_for(family, lot.code, Purpose.MOVE).reasons:
            raise Refused(
                f"{reasons[0].says} Carry it back from {place} before that is a "
                "customer's."
            )


@transaction.atomic
def add_vessel(*, name: str, volume: Decimal, tare: Decimal | None = None) -> Vessel:
    """A kettle, pot or jug: mL to the brim, and grams when it is empty."""
    return _fitting(Vessel(name=name.strip(), volume=volume, tare=tare))


@transaction.atomic
def change_vessel(
    vessel: Vessel, *, name: str, volume: Decimal, tare: Decimal | None = None
) -> Vessel:
    vessel.name, vessel.volume, vessel.tare = name.strip(), volume, tare
    return _fitting(vessel)


def _fitting(vessel: Vessel) -> Vessel:
    if vessel.volume <= 0:
        raise Refused("Write how many mL the vessel holds to the brim, above zero.")
    if vessel.tare is not None and vessel.tare <= 0:
        raise Refused("Weigh the vessel empty, or leave its weight open.")
    return _card(vessel)


def ensure_supplier(name: str) -> Supplier:
    return _ensure(Supplier, name)


def ensure_customer(name: str) -> Customer:
    return _ensure(Customer, name)


def ensure_place(name: str) -> Place:
    return _ensure(Place, name)


def _ensure(model: Any, name: str) -> Any:
    row = model.objects.filter(name=name).first()
    return row or _card(model(name=name))


def _changed(row: Any, facts: dict[str, Any]) -> Any:
    """Only what is given is written, so that two pages do not undo each other."""
    for name, value in facts.items():
        setattr(row, name, value.strip() if name == "name" else value)
    return _card(row, list(facts))


def _card(row: Any, fields: list[str] | None = None) -> Any:
    if isinstance(row, Supplier | Place) and (fields is None or "name" in fields):
        refuse_name("name", row.name)
    ensure_valid(row)
    try:
        with transaction.atomic():
            row.save(update_fields=fields)
    except IntegrityError as fault:
        # Somebody else was quicker by a blink.
        if type(row).objects.filter(name=row.name).exclude(pk=row.pk).exists():
            raise Refused(f"{row} has a card already. Open that one.") from fault
        raise
    return row
