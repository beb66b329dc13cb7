"""What a batch lost, and what that did to the cost of its lot."""

from dataclasses import dataclass, replace
from decimal import Decimal

from costing.domain.rollup import NANO, LotValue, portion, thousandths
from production.models import Batch, Loss
from production.record.reads.restated import as_now
from production.yields.domain.yields import NORMAL, Outturn
from production.yields.reads import outturn


@dataclass(frozen=True, slots=True)
class LossShown:
    """One named loss; ``carried``: what is left carries its cost."""

    row: Loss
    carried: bool


@dataclass(frozen=True, slots=True)
class Losses:
    """The losses of a batch by name. ``moved`` is what the later names took out of the
    cost of its lot, in currency; None where none was called otherwise."""

    named: list[LossShown]
    moved: Decimal | None

    @property
    def moved_back(self) -> Decimal:
        """The same where it came back into the cost."""
        return -(self.moved or Decimal(0))


def losses_of(batch: Batch, value: LotValue) -> Losses:
    """By name, and what changed since they were first named."""
    rows = as_now(Loss.objects.filter(batch=batch).select_related("root"))
    shown = [LossShown(row, row.kind in NORMAL or row.kind == "other") for row in rows]
    if not any(row.root for row in rows):
        return Losses(shown, None)
    now = outturn(batch)
    first: dict[str, Decimal] = {}
    for row in rows:
        kind = row.root.kind if row.root else row.kind
        first[kind] = first.get(kind, Decimal(0)) + row.amount
    total = sum(value.total.values())
    before = _expensed(total, replace(now, named=first))
    return Losses(shown, Decimal(_expensed(total, now) - before) / NANO)


def _expensed(total: int, found: Outturn) -> int:
    """What of all that went in is an abnormal loss, in nano."""
    if found.made is None or not found.abnormal:
        return 0
    made, lost = thousandths(found.made.amount), thousandths(found.abnormal)
    return total - portion(total, made, made + lost)
