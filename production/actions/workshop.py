"""The plain cards: the workshop, its items, suppliers, customers and places."""

from typing import Any

from django.db import transaction

from production.actions.deeds import ensure_valid
from production.domain.refusal import Refused
from production.models import Customer, Item, Place, Supplier, Workshop
from production.reads.labelled import ALKALI_OF, proposed_label_name


@transaction.atomic
def set_up_workshop(**facts: Any) -> Workshop:
    """Write who makes the soap; only what is given changes."""
    row = Workshop.objects.first() or Workshop(pk=1)
    for name, value in facts.items():
        setattr(row, name, value)
    ensure_valid(row)
    row.save()
    return row


@transaction.atomic
def add_item(*, name: str, **facts: Any) -> Item:
    """Add a material or product. A label name that fits its name is proposed."""
    item = Item(name=name.strip(), **facts)
    if item.name_on_label is None and not item.own_inci:
        item.name_on_label = proposed_label_name(item.name)
    if item.name_on_label is not None and not item.alkali:
        item.alkali = ALKALI_OF.get(item.name_on_label.inci, "")
    ensure_valid(item)
    item.save()
    return item


@transaction.atomic
def change_item(*, item: Item, **facts: Any) -> Item:
    """Change an item's card; the unit stays, since its lots are counted in it."""
    if facts.get("unit", item.unit) != item.unit and item.lots.exists():
        raise Refused(f"{item} has lots counted in {item.unit}: its unit stays.")
    for name, value in facts.items():
        setattr(item, name, value)
    ensure_valid(item)
    item.save(update_fields=list(facts))
    return item


def ensure_item(*, name: str, unit: str, kind: str, category: str = "") -> Item:
    """Find an item by its name, or add it; a different unit is a different thing."""
    item = Item.objects.filter(name=name).first()
    if item is None:
        return add_item(name=name, unit=unit, kind=kind, category=category)
    if item.unit != unit:
        raise Refused(f"{name} is counted in {item.unit}, not in {unit}.")
    if category and not item.category:
        return change_item(item=item, category=category)
    return item


def ensure_supplier(name: str) -> Supplier:
    return _ensure(Supplier, name)


def ensure_customer(name: str) -> Customer:
    return _ensure(Customer, name)


def ensure_place(name: str) -> Place:
    return _ensure(Place, name)


def _ensure(model: Any, name: str) -> Any:
    row = model.objects.filter(name=name.strip()).first()
    if row is None:
        row = model(name=name.strip())
        ensure_valid(row)
        row.save()
    return row
