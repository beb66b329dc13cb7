"""A sheet as it was read: lines of cells."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

DAYS = ("on", "ordered", "invoiced", "expires")


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in a cell, and what its number format writes around it.

    ``digits``: at least so many are shown before the point.
    """

    value: str | Decimal | date | None = None
    before: str = ""
    after: str = ""
    digits: int = 0
    percent: bool = False
    fault: str = ""

    @property
    def empty(self) -> bool:
        blank = self.value is None or not str(self.value).strip()
        return blank and not self.fault


Line = tuple[int, Sequence[Cell]]
