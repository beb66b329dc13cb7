"""Losses and hours of a batch, as a file or a form says them."""

from dataclasses import dataclass
from decimal import Decimal

from production.record.domain.keys import Part, told


@dataclass(frozen=True)
class NewWork(Part):
    """With a ``power`` the rate is that of a kilowatt hour."""

    kind: str
    hours: Decimal
    rate: Decimal
    person: str = told("", says="who worked")
    equipment: str = told("", says="what drew power")
    power: Decimal | None = told(None, says="kW: the rate is that of a kWh")


@dataclass(frozen=True)
class NewLoss(Part):
    kind: str
    amount: Decimal
