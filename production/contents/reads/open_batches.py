"""What of some lots stands in batches that have made no lot yet.

It is neither on hand nor in any lot: the trace, a hold, who has it, the lot's page and
the value of the book all ask here.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet

from production.stock.models.batches import Batch
from production.stock.models.lots import Lot, Movement
from production.stock.reads.batches import is_lost

USED, MADE = Movement.Kind.USED, Movement.Kind.MADE


@dataclass(frozen=True, slots=True)
class InOpen:
    """So much of a lot went into a batch, and no lot has come of it yet."""

    batch: Batch
    lot: Lot
    amount: Decimal


def uses_in_open_batches() -> QuerySet[Movement]:
    """Standing uses in batches whose lot is not made, or is made no more; what was
    lost whole is in none."""
    made = Movement.objects.standing().filter(batch=OuterRef("batch"), kind=MADE)
    used = Movement.objects.used()
    return used.exclude(Exists(made)).exclude(is_lost("batch"))


def in_open_batches(lots: Iterable[int] | None = None) -> list[InOpen]:
    """One row for each batch and lot, oldest batch first; all lots unless told.

    One query. Ask with a lot and all that was made of it (``forward_closure``).
    """
    uses = uses_in_open_batches()
    if lots is not None:
        uses = uses.filter(lot__in=list(lots))
    rows = uses.select_related("batch__version__formula", "lot__item")
    sums: dict[tuple[Batch, Lot], Decimal] = defaultdict(Decimal)
    for row in rows.order_by("batch__started", "batch", "lot"):
        assert row.batch is not None
        sums[row.batch, row.lot] -= row.amount
    return [InOpen(batch, lot, amount) for (batch, lot), amount in sums.items()]


def batches_of(rows: Iterable[InOpen]) -> list[Batch]:
    """Each of these batches once."""
    return list(dict.fromkeys(row.batch for row in rows))
