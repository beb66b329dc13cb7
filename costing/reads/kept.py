"""Kept values as they stand now: of lots, of open batches, of the whole book."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.domain.kept import totals_of
from costing.domain.rollup import Totals
from costing.models import KeptBatch, KeptLot, KeptMonth
from costing.reads.book import book_behind
from production.contents.reads.open_batches import InOpen, in_open_batches
from production.models import Batch, Lot


@dataclass(frozen=True, slots=True)
class InWork:
    """An open batch; ``nano`` is what its lots and its work cost so far, None while a
    price is not known. ``trial``: one that nobody accepted, an expense and no stock."""

    batch: Batch
    holds: list[InOpen]
    nano: int | None
    trial: bool


def totals() -> Totals:
    """What came into the whole book and where it went, in nano; one query."""
    stands: Counter[str] = Counter()
    for row in KeptMonth.objects.all():
        stands[row.account] += row.value
    return totals_of(stands)


def missing() -> list[str]:
    """The codes of the lots of which a price is not known."""
    unknown = KeptLot.objects.order_by().filter(unknown__isnull=False)
    return sorted(unknown.values_list("lot__code", flat=True))


def in_work() -> list[InWork]:
    """Every open batch that holds something, oldest first; three queries.

    They add up to the work in progress, trials to the development.
    """
    holds: dict[int, list[InOpen]] = defaultdict(list)
    for row in in_open_batches():
        holds[row.batch.pk].append(row)
    kept = KeptBatch.objects.order_by().filter(ended=None, lost=None).in_bulk()
    some = [pk for pk, row in kept.items() if row.inside or pk in holds]
    return [
        InWork(
            batch=batch,
            holds=holds[batch.pk],
            nano=None
            if kept[batch.pk].missing
            else sum(kept[batch.pk].inside.values()),
            trial=kept[batch.pk].trial,
        )
        for batch in Batch.objects.filter(pk__in=some).order_by("started", "pk")
    ]


def lost() -> dict[int, KeptBatch]:
    """Batches that were lost whole, by their keys."""
    return KeptBatch.objects.order_by().filter(ended=None, lost__isnull=False).in_bulk()


def unit_costs(lots: Sequence[Lot]) -> dict[int, Decimal | None]:
    """What one gram or piece of each lot cost, by its key; None is unknown.

    Of a lot that this very deed brings nothing is kept yet: it is worked out.
    """
    kept = KeptLot.objects.in_bulk([lot.pk for lot in lots])
    found = {pk: _decimal(row.unit_cost) for pk, row in kept.items()}
    new = [lot for lot in lots if lot.pk not in kept]
    if new:
        values = book_behind(*new).valuation.lots
        found |= {lot.pk: _decimal(values[lot.code].unit_cost) for lot in new}
    return found


def _decimal(cost: Fraction | None) -> Decimal | None:
    return None if cost is None else Decimal(cost.numerator) / cost.denominator
