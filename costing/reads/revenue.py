"""What sales brought, net of sales tax, less what came back; a price may be missing."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.domain.rollup import NANO
from production.selling.reads.revenue import sale_revenues


@dataclass(frozen=True, slots=True)
class Revenue:
    """``nano`` is the priced part and ``tax`` the sales tax on it;
    ``unpriced`` are the lines that nobody priced, each with the day on which it was
    sold."""

    nano: int
    tax: int
    unpriced: tuple[tuple[str, date], ...]


def revenue(through: date) -> Revenue:
    """Since the book began, at the prices as they are known now; in three queries."""
    nano = tax = 0
    left: dict[int, Decimal] = defaultdict(Decimal)
    first: dict[int, tuple[str, date]] = {}
    for row in sale_revenues(None, through):
        if row.net is not None:
            nano += int(row.net * NANO)
            tax += int((row.tax or 0) * NANO)
            continue
        left[row.line] += row.amount
        first.setdefault(row.line, (row.called, row.on))
    unpriced = [first[line] for line in sorted(left) if left[line]]
    return Revenue(nano=nano, tax=tax, unpriced=tuple(unpriced))
