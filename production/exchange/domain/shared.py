"""What several kinds of events say alike."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.record.domain.keys import UNSAID, Event, Part, Unsaid, told


@dataclass(frozen=True, kw_only=True)
class Dated(Event):
    """An event of a day, and why."""

    on: date = told(key="date")
    reason: str = told("", last=True)


@dataclass(frozen=True, kw_only=True)
class OfLot(Dated):
    lot: str


@dataclass(frozen=True, kw_only=True)
class OfBatch(Dated):
    batch: str


@dataclass(frozen=True, kw_only=True)
class Goods(Part):
    """What a lot that comes into the book says beside its code and amount."""

    supplier_lot: str = told("", shown=True)
    status: str | Unsaid = told(UNSAID, says="left out: released")
    expires: date | None = None
    constituents: Mapping[str, Decimal] = told(factory=dict)
    labelled: date | None = told(
        None, says="the day on which a label with its code was first printed"
    )
    net_mass: Decimal | None = None
    component: str = told("", says="what it counts as in the cost, if not as its item")
