"""Cards without a day, and formulas."""

from collections.abc import Callable
from typing import Any

from production.actions import formulas
from production.actions.history.words import dated
from production.actions.workshop import (
    add_item,
    change_item,
    ensure_customer,
    ensure_supplier,
    set_up_workshop,
)
from production.domain.history import Event
from production.models import InciName, Item, ReferenceOil


def replay_formula(event: Event, act: dict[str, Any]) -> None:
    lines = []
    for part in event.parts("lines"):
        item = Item.objects.filter(name=part.text("item")).first()
        if item is None:
            raise part.fault(f"there is no item {part.text('item')} yet.")
        lines.append(
            formulas.NewVersionLine(item, part.maybe("share"), part.maybe("each"))
        )
        part.done()
    makes = Item.objects.filter(name=event.text("makes")).first()
    if makes is None:
        raise event.fault(f"there is no item {event.text('makes')} yet.")
    terms = event.part("terms")
    formulas.write_version(
        **dated(event, act),
        name=event.text("name"),
        stage=event.text("stage"),
        makes=makes,
        lines=lines,
        **(_terms(terms) if terms else {}),
    )


def _terms(part: Event) -> dict[str, Any]:
    readers: dict[str, Callable[[str], Any]] = {
        "release": part.text,
        "steps": part.text,
        "rest_days": part.whole,
        "shelf_days": part.whole,
    }
    terms = {key: readers.get(key, part.number)(key) for key in part.facts}
    part.done()
    return terms


def replay_item(event: Event, act: dict[str, Any]) -> None:
    facts: dict[str, Any] = {}
    for key in ("category", "alkali", "acid", "own_inci", "own_potassium_soap"):
        if key in event.facts:
            facts[key] = event.text(key)
    for key in ("needs_check", "on_tap"):
        if key in event.facts:
            facts[key] = event.yes(key)
    for key in ("density", "tap_price", "low_at"):
        if key in event.facts:
            facts[key] = event.maybe(key)
    for key, model in (("oil", ReferenceOil), ("name_on_label", InciName)):
        if key in event.facts:
            slug = event.words(key)
            facts[key] = model.objects.filter(key=slug).first() if slug else None
            if slug and facts[key] is None:
                raise event.fault(f"{key!r} {slug!r} is in no published table.")
    name, unit, kind = event.text("name"), event.text("unit"), event.text("kind")
    known = Item.objects.filter(name=name).first()
    if known is None:
        known = add_item(name=name, unit=unit, kind=kind, **facts)
    # Again, since a new card is given what its name proposes.
    change_item(item=known, unit=unit, kind=kind, **facts)


def replay_workshop(event: Event, act: dict[str, Any]) -> None:
    keys = (
        "name",
        "address",
        "contact",
        "zone",
        "units",
        "paper",
        "domain",
        "emergency",
    )
    set_up_workshop(**{key: event.text(key) for key in keys if key in event.facts})


def replay_party(event: Event, act: dict[str, Any]) -> None:
    ensure = {"supplier": ensure_supplier, "customer": ensure_customer}
    role = event.text("role")
    if role not in ensure:
        raise event.fault("'role' is supplier or customer.")
    row = ensure[role](event.text("name"))
    row.contact = event.text("contact", "")
    row.save(update_fields=["contact"])
