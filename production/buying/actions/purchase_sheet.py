"""A whole sheet of purchases: each invoice is a deed of its own, all or none."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction

from production.buying.actions.purchases import NewExtra, NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.buying.models import Purchase, PurchaseQuerySet
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import lock_book
from production.workshop.actions.items import enter_item
from production.workshop.models.items import Item


@dataclass(frozen=True, slots=True)
class NewItem:
    """An item that arrives for the first time."""

    name: str
    unit: str
    kind: str
    category: str = ""
    density: Decimal | None = None
    alkali: str = ""


@dataclass(frozen=True, slots=True)
class Arrival:
    """One invoice; names stand where a card may still have to be added.

    ``items`` holds the item's name of each line, "" where nothing is stocked;
    ``facts`` are further words of the deed: ordered, invoiced, currency, rate, place.
    """

    number: str
    supplier: str
    on: date
    items: Sequence[str]
    lines: Sequence[NewLine]
    extra_costs: Sequence[NewExtra] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)

    @property
    def currency(self) -> str:
        """That of the invoice; "" is the workshop's own."""
        return self.facts.get("currency", "")

    @property
    def lot_count(self) -> int:
        return sum(len(line.lots) for line in self.lines)

    @property
    def billed(self) -> Decimal | None:
        """What prices, taxes and extra costs come to; None while a price is open.

        What was billed in another currency stands on a paper of its own.
        """
        own = {"", self.currency}
        extras = [row.amount for row in self.extra_costs if row.currency in own]
        bill = sum(extras, Decimal(0))
        for line in self.lines:
            if line.price is None:
                return None
            bill += line.price + line.tax + line.recoverable_tax
        return bill


def recorded_from(mark: str) -> list[Purchase]:
    """What the file with this digest has put into the book, and stands there."""
    return list(_read_from(mark).standing().order_by("pk"))


def _read_from(mark: str) -> PurchaseQuerySet:
    return Purchase.objects.filter(deed__key__startswith=_key(mark))


def _key(mark: str, place: int | str = "") -> str:
    return f"sheet:{mark[:32]}:{place}"


@transaction.atomic
def record_purchases(
    *, mark: str, new_items: Sequence[NewItem], arrivals: Sequence[Arrival], by: Any
) -> list[Purchase]:
    """Write all of a sheet; ``mark`` is its digest, so that it is written once."""
    lock_book()
    if before := recorded_from(mark):
        return before
    if not arrivals:
        return []
    # Read again after all of it was taken back: its deeds are other ones.
    turn = _read_from(mark).count()
    day = max(arrival.on for arrival in arrivals)
    items = {
        new.name: _ensure(new, day, by, _key(mark, f"item:{turn}:{place}"))
        for place, new in enumerate(new_items, start=1)
    }
    named = {name for arrival in arrivals for name in arrival.items} - items.keys()
    items |= {item.name: item for item in Item.objects.filter(name__in=named)}
    return [
        _record(arrival, items, by, _key(mark, f"{turn}:{place}"))
        for place, arrival in enumerate(arrivals, start=1)
    ]


def _ensure(new: NewItem, day: date, by: Any, key: str) -> Item:
    return Item.objects.filter(name=new.name).first() or enter_item(
        name=new.name,
        unit=new.unit,
        kind=new.kind,
        category=new.category,
        alkali=new.alkali,
        density=new.density,
        on=day,
        by=by,
        key=key,
    )


def _record(arrival: Arrival, items: Mapping[str, Item], by: Any, key: str) -> Purchase:
    try:
        return record_purchase(
            number=arrival.number,
            supplier=ensure_supplier(arrival.supplier),
            lines=[
                replace(line, item=items[name] if name else None)
                for name, line in zip(arrival.items, arrival.lines, strict=True)
            ],
            extra_costs=arrival.extra_costs,
            on=arrival.on,
            by=by,
            key=key,
            **arrival.facts,
        )
    except Refused as fault:
        raise Refused(f"Invoice {arrival.number}: {fault}") from fault
