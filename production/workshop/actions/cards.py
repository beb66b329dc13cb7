"""The plain cards: the workshop, its items, suppliers, customers and places."""

import re
from decimal import Decimal
from typing import Any
from zoneinfo import available_timezones

from django.db import transaction

from production.quantities.domain.refusal import Refused
from production.record.actions.cards import change_card, ensure_card, save_card
from production.record.actions.deeds import lock_book, written
from production.record.actions.people import owner_only
from production.record.models.ink import Deed
from production.record.models.workshop import Workshop
from production.record.reads.countries import countries
from production.workshop.actions.roles import (
    owner_decides,
    propose_label,
    refuse_at_odds,
    weighty,
)
from production.workshop.models.items import Item
from production.workshop.models.places import Place, Vessel


@transaction.atomic
def set_up_workshop(**facts: Any) -> Workshop:
    """Write who makes the soap; only what is given changes."""
    lock_book()
    row = Workshop.objects.first() or Workshop(pk=1)
    if "zone" in facts and facts["zone"] not in available_timezones():
        raise Refused(
            f"{facts['zone']!r} is no time zone. "
            "Choose a zone from the list, as America/New_York."
        )
    if facts.get("country") and facts["country"] not in countries():
        raise Refused(
            f"{facts['country']!r} is no country. Write its two letters, as US or FR."
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
    return save_card(item)


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
    return change_card(item, facts)


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
    return save_card(vessel)


def ensure_place(name: str) -> Place:
    return ensure_card(Place, name)
