"""Rows told as events of the history file, each at its place in the book."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar

from production.buying.models import Supplier
from production.record.domain.keys import Event, Part, keys_of
from production.selling.models import Customer
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot
from production.workshop.models.items import Item
from production.workshop.models.places import Place

P = TypeVar("P", bound=Part)
HOME = "workshop"
# Where something stands in the book: its day, then its deed.
Spot = tuple[date, int]
# What other parts of the house keep with each closing, by its key: filled at start-up.
TOLD_WITH_CLOSINGS: list[Callable[[], Mapping[int, dict[str, Any]]]] = []


@dataclass(frozen=True, slots=True)
class Told:
    """An event and its place: business date, deed, place within the deed."""

    on: date
    deed: int
    place: int
    event: Event


def told_of(kind: type[P], /, *rows: Any, **more: Any) -> P:
    """What rows tell by their fields of the same names, the first row first.

    Else the deed of the first is asked: its day, and why. What a row points at is
    named: a lot and a batch by its code, the rest by its name.
    """
    for key in keys_of(kind):
        if key.field not in more:
            own = (row for row in rows if hasattr(row, key.field))
            holder = next(own, None) or rows[0].deed
            more[key.field] = named(getattr(holder, key.field))
    return kind(**more)


def all_told(kind: type[P], rows: Iterable[Any]) -> tuple[P, ...]:
    return tuple(told_of(kind, row) for row in rows)


def named(value: Any) -> Any:
    if isinstance(value, Lot | Batch):
        return value.code
    if isinstance(value, Place) and value.name == HOME:
        return None
    return (
        value.name if isinstance(value, Customer | Item | Place | Supplier) else value
    )


def not_before(on: date, deed: int, *spots: Spot) -> Spot:
    """A note dated before what it is about can only be told after it."""
    for spot in spots:
        on, deed = max(on, spot[0]), max(deed, spot[1])
    return on, deed
