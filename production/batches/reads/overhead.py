"""A year's overhead: what was meant, what batches bore of it, and what is left."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q

from production.quantities.domain.numbers import ZERO, money
from production.record.models.ink import Restated
from production.record.reads.restated import OF, as_now
from production.stock.models.batches import Work
from production.workshop.models.rates import Overhead, OverheadPaid
from production.workshop.reads.rates import (
    overhead_of,
    overhead_paid_in,
    overhead_rate,
)
from production.yields.reads import standing_work

KIND = Work.Kind
OF_PEOPLE = (KIND.LABOUR, KIND.UNPAID)


@dataclass(frozen=True, slots=True)
class YearOverhead:
    """One year as of a day; money to 4 places, ``hours`` those of people.

    ``due`` is what the year came to where that was stated, else the budget's share of
    the days that have passed; None without either.
    """

    year: int
    day: date
    budget: Overhead | None
    paid: OverheadPaid | None
    hours: Decimal
    applied: Decimal
    stayed_without: Decimal

    @property
    def rate(self) -> Decimal | None:
        return overhead_rate(self.budget)

    @property
    def over(self) -> bool:
        """Whether the year is over on that day."""
        return self.day.year > self.year

    @property
    def due(self) -> Decimal | None:
        if self.paid is not None:
            return self.paid.actual
        if self.budget is None:
            return None
        return money(self.budget.budget * self._passed())

    def _passed(self) -> Decimal:
        """The share of its days that have passed, today among them."""
        first, after = date(self.year, 1, 1), date(self.year + 1, 1, 1)
        days = min(max((self.day - first).days + 1, 0), (after - first).days)
        return Decimal(days) / (after - first).days

    @property
    def unshared(self) -> Decimal | None:
        """What no batch bore: an expense; below zero batches bore too much."""
        return None if self.due is None else self.due - self.applied

    @property
    def too_much(self) -> Decimal:
        """What batches bore beyond it."""
        left = self.unshared
        return ZERO if left is None or left >= 0 else -left


def work_in(year: int, *kinds: str) -> list[Work]:
    """Standing work of some kinds in a year, as it is now; two queries."""
    said = Restated.objects.filter(of=OF.WORK).values("row")
    rows = standing_work().filter(Q(kind__in=kinds) | Q(pk__in=said))
    return [row for row in as_now(rows) if row.on.year == year and row.kind in kinds]


def overhead_work(year: int) -> list[Work]:
    return work_in(year, KIND.OVERHEAD)


def year_overhead(year: int, day: date) -> YearOverhead:
    """A year's overhead by what is known on a day; four queries."""
    rows = work_in(year, *OF_PEOPLE, KIND.OVERHEAD)
    rows = [row for row in rows if row.on <= day]
    bore = [row for row in rows if row.kind == KIND.OVERHEAD]
    hours = sum((row.hours for row in rows if row.kind in OF_PEOPLE), ZERO)
    return YearOverhead(
        year=year,
        day=day,
        budget=overhead_of(year),
        paid=overhead_paid_in(year),
        hours=hours,
        applied=sum((row.cost for row in bore), ZERO),
        stayed_without=max(hours - sum((row.hours for row in bore), ZERO), ZERO),
    )
