"""What an hour, power and a year's overhead cost."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.exchange.domain.shared import Dated
from production.record.domain.keys import Event, told


@dataclass(frozen=True, kw_only=True)
class Equipment(Event, type="equipment"):
    name: str
    power: Decimal = told(says="kW")


@dataclass(frozen=True, kw_only=True)
class HourRate(Dated, type="hour_rate"):
    person: str
    rate: Decimal
    since: date
    unpaid: bool = told(False, says="an owner's own time, no cost of the goods")


@dataclass(frozen=True, kw_only=True)
class Tariff(Dated, type="tariff"):
    price: Decimal = told(says="of a kilowatt hour")
    since: date


@dataclass(frozen=True, kw_only=True)
class Overhead(Dated, type="overhead"):
    year: int
    budget: Decimal
    normal: Decimal = told(says="hours of work in a normal year")


@dataclass(frozen=True, kw_only=True)
class OverheadPaid(Dated, type="overhead_paid"):
    year: int
    actual: Decimal
