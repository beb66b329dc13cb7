"""Delivered cost: what a purchase line cost at the workshop's door (IAS 2.10-11)."""

from collections.abc import Sequence
from decimal import Decimal

from production.domain.bills import (
    Basis,
    ExtraCost,
    LineBasis,
    delivered,
    split_extra,
)
from production.domain.numbers import share_units

__all__ = [
    "Basis",
    "ExtraCost",
    "LineBasis",
    "delivered",
    "split_extra",
    "split_line",
]


def split_line(total_nano: int, lot_amounts: Sequence[Decimal]) -> list[int]:
    """Share a line's value over the lots it came as, by amount, to the last nano."""
    return share_units(total_nano, lot_amounts)
