"""Losses and hours of a batch, as a file or a form says them."""

from dataclasses import dataclass
from decimal import Decimal

from production.record.domain.keys import Part


@dataclass(frozen=True)
class NewWork(Part):
    kind: str
    hours: Decimal
    rate: Decimal


@dataclass(frozen=True)
class NewLoss(Part):
    kind: str
    amount: Decimal
