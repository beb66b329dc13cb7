"""What was asked for what was sold, less what came back; a price may be missing."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Min, QuerySet, Sum

from costing.domain.rollup import NANO
from production.models import Movement, SaleLine
from production.record.reads.restated import as_now

KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class Revenue:
    """``nano`` is the priced part; ``unpriced`` are the lines that nobody priced, each
    with the day on which it was sold."""

    nano: int
    unpriced: tuple[tuple[str, date], ...]


def sold_entries(through: date) -> QuerySet[Movement]:
    """What was sold and what came back through a day."""
    return Movement.objects.standing().filter(
        kind__in=(KIND.SOLD, KIND.RETURNED), on__lte=through
    )


def revenue(through: date) -> Revenue:
    """Since the book began, at the prices as they are known now; in two queries."""
    rows = sold_entries(through).order_by().values("sale_line")
    sums = {
        line: (total, first)
        for line, total, first in rows.annotate(
            total=Sum("amount"), first=Min("on")
        ).values_list("sale_line", "total", "first")
    }
    lines = as_now(SaleLine.objects.select_related("sale").order_by("pk"))
    found = [(line, *sums[line.pk]) for line in lines if line.pk in sums]
    return Revenue(
        nano=sum(
            int(-amount * line.unit_price * NANO)
            for line, amount, _ in found
            if line.unit_price is not None
        ),
        unpriced=tuple(
            (str(line), first)
            for line, amount, first in found
            if line.unit_price is None and amount
        ),
    )
