"""Wrackline Soap Works: the house, its people and the cards of what it handles."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import Group

from production import actions
from production.actions.people import MAKER, OWNER
from production.actions.workshop import change_customer
from production.models import InciName, Item, ReferenceOil

LOGIN = "ines"
LOGINS = (LOGIN, "tobias", "wren")
CRATE = "crate for the Saturday stall"
LANTERN = "The Tin Lantern"
INN = "Bracken House Inn"
MOREAU = "Atelier Moreau"

CUSTOMERS = (
    (LANTERN, "207-555-0188, shop@example.org"),
    (INN, "207-555-0131, ask for housekeeping"),
    (MOREAU, "514-555-0167, atelier@example.org"),
)

WATER = "Filtered tap water"

# What the start page calls short.
LOW_AT = {"8 fl oz bottle and cap": "24", "Salt Marsh fragrance": "200"}

FACTS = {
    "name": "Wrackline Soap Works",
    "address": "14 Cooper's Slip\nMarrow Point, Maine 04999",
    "contact": "207-555-0142, wrackline@example.org",
    "currency": "USD",
    "zone": "America/New_York",
    "units": "us",
    "paper": "Letter",
    "domain": "wrackline.example.org",
    "balance_step": Decimal("0.1"),
    # Real numbers: a wrong one could cost an eye.
    "emergency": "Ambulance: 911\nPoison Help: 1-800-222-1222",
    "demo": True,
}

# Name, published oil, label name, density in g/mL where it is bought by volume (the
# middle of the published range).
OILS = (
    ("High-oleic safflower oil", "safflower-seed-oil-high-oleic", "safflower-oil", ""),
    ("Babassu oil", "babassu-oil", "babassu-oil", ""),
    ("Oleic acid", "oleic-acid", "oleic-acid", "0.892"),
    ("Canola oil", "rapeseed-oil-low-erucic", "canola-oil", ""),
    ("Palm kernel oil", "palm-kernel-oil", "palm-kernel-oil", ""),
    ("Castor oil", "castor-oil", "castor-oil", "0.9585"),
)

# Name, category, label name, density: of glycerin and water at 20 degC, from memory.
MATERIALS = (
    ("Potassium hydroxide flakes", "alkali", "potassium-hydroxide", ""),
    ("Glycerin", "additive", "glycerin", "1.26"),
    ("Salt", "salt", "salt", ""),
    ("Distilled water", "water", "water", "0.998"),
    (WATER, "water", "water", "0.998"),
    ("Salt Marsh fragrance", "fragrance", "fragrance-oil", ""),
    ("Chart Room fragrance", "fragrance", "fragrance-oil", ""),
)

PACKAGING = (
    ("8 fl oz bottle and cap", "container"),
    ("16 fl oz bottle with pump", "container"),
    ("8 fl oz foamer bottle", "container"),
    ("Label", "label"),
)

# Name, unit, density.
MADE = (
    ("Tideline paste", "g", ""),
    ("Slipway paste", "g", ""),
    ("Brine, 20 %", "g", ""),
    ("Tideline, diluted", "g", ""),
    ("Slipway, diluted", "g", ""),
    ("Tideline, finished", "g", "1.035"),
    ("Slipway, finished", "g", "1.016"),
    ("Tideline 8 fl oz", "piece", ""),
    ("Tideline 16 fl oz", "piece", ""),
    ("Slipway 8 fl oz foamer", "piece", ""),
)


@dataclass(frozen=True, slots=True)
class People:
    """Ines owns and releases, Tobias makes, Wren keeps the stall."""

    ines: Any
    tobias: Any
    wren: Any


# Name, mL to the brim, grams when empty.
VESSELS = (
    ("Kettle, 24 L", "24000", "3180"),
    ("Dilution pot, 20 L", "20000", ""),
)


def set_up(password: str) -> People:
    """The house before its first delivery."""
    actions.set_up_workshop(**FACTS)
    for name in (CRATE, LANTERN):
        actions.ensure_place(name)
    _add_cards()
    for name, volume, tare in VESSELS:
        actions.add_vessel(
            name=name,
            volume=Decimal(volume),
            tare=Decimal(tare) if tare else None,
        )
    for name, contact in CUSTOMERS:
        change_customer(customer=actions.ensure_customer(name), contact=contact)
    # Hashed once: it is slow on purpose.
    hashed = make_password(password)
    return People(
        ines=_person(LOGIN, "Ines Harrow", OWNER, hashed),
        tobias=_person("tobias", "Tobias Quill", MAKER, hashed),
        wren=_person("wren", "Wren Adair", MAKER, hashed),
    )


def _person(login: str, name: str, group: str, hashed: str):
    first, last = name.split()
    person = get_user_model().objects.create(
        username=login,
        password=hashed,
        first_name=first,
        last_name=last,
    )
    person.groups.add(Group.objects.get(name=group))
    return person


def _add_cards() -> None:
    for name, oil, label, density in OILS:
        actions.add_item(
            name=name,
            category="oil",
            oil=ReferenceOil.objects.get(key=oil),
            name_on_label=InciName.objects.get(key=label),
            density=_density(density),
        )
    for name, category, label, density in MATERIALS:
        actions.add_item(
            name=name,
            category=category,
            name_on_label=InciName.objects.get(key=label),
            density=_density(density),
            needs_check=category == "alkali",
            on_tap=name == WATER,
            tap_price=Decimal("0.0025") if name == WATER else None,
        )
    for name, serves_as in PACKAGING:
        actions.add_item(name=name, kind="packaging", unit="piece", serves_as=serves_as)
    for name, low in LOW_AT.items():
        card = Item.objects.get(name=name)
        actions.change_item(item=card, low_at=Decimal(low))
    for name, unit, density in MADE:
        actions.add_item(name=name, kind="made", unit=unit, density=_density(density))


def _density(text: str) -> Decimal | None:
    return Decimal(text) if text else None
