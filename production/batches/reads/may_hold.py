"""Which batches may hold the alkali that is missing in its tub."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from production.batches.reads.weighed import Pour, pours_of, weighed_in
from production.stock.models.batches import Batch
from production.stock.models.counts import Count


@dataclass(frozen=True, slots=True)
class MayHold:
    """Alkali that a batch may have got beside what was written, and its superfats."""

    count: Count
    without: Decimal | None
    with_it: Decimal | None

    @property
    def amount(self) -> Decimal:
        return self.count.booked - self.count.found

    @property
    def why(self) -> str:
        return self.count.why or self.count.deed.reason


def may_hold(batch: Batch) -> list[MayHold]:
    """What was missing at a count and may have gone into this batch."""
    counts = Count.objects.filter(batch=batch)
    counts = list(counts.select_related("deed", "lot__item", "lot__batch"))
    if not counts:
        return []
    pours = pours_of(batch)
    without = _superfat(batch, pours)
    return [
        MayHold(row, without, _superfat(batch, [*pours, _pour(row)])) for row in counts
    ]


def _pour(count: Count) -> Pour:
    return Pour(count.lot, count.booked - count.found, count.on)


def _superfat(batch: Batch, pours: Sequence[Pour]) -> Decimal | None:
    found = weighed_in(batch.stage, batch.version, pours)
    if found is None or found.superfat.range is None:
        return None
    return found.superfat.range.central
