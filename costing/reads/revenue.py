"""What was asked for what was sold, less what came back; a price may be missing."""

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet, Sum

from costing.domain.rollup import NANO
from production.models import Movement, SaleLine
from production.record.reads.restated import as_now

KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class Revenue:
    """``nano`` is the priced part; ``unpriced`` are the lines that nobody priced."""

    nano: int
    unpriced: tuple[SaleLine, ...]


def sold_entries(after: date | None, through: date) -> QuerySet[Movement]:
    """What was sold and what came back later than one day, through another."""
    rows = Movement.objects.standing().filter(
        kind__in=(KIND.SOLD, KIND.RETURNED), on__lte=through
    )
    return rows if after is None else rows.filter(on__gt=after)


def revenue(through: date, after: date | None = None) -> Revenue:
    """At the prices as they are known now; in two queries."""
    rows = sold_entries(after, through).order_by()
    sums = rows.values("sale_line").annotate(total=Sum("amount"))
    amounts = dict(sums.values_list("sale_line", "total"))
    lines = as_now(SaleLine.objects.select_related("sale").order_by("pk"))
    found = [line for line in lines if amounts.get(line.pk)]
    priced = [line for line in found if line.unit_price is not None]
    return Revenue(
        nano=sum(int(-amounts[one.pk] * one.unit_price * NANO) for one in priced),
        unpriced=tuple(line for line in found if line.unit_price is None),
    )
