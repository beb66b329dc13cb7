"""What is in stock, kept: one row a lot and place, written where entries are posted."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction
from django.db.models import OuterRef, Subquery

from production.record.actions.deeds import lock_book
from production.stock.models.counts import Stock
from production.stock.models.lots import Movement
from production.stock.reads.stock import entered

KIND = Movement.Kind
Spot = tuple[int, int]


@dataclass(slots=True)
class Kept:
    """What some lots hold at each place, and the day of the last entry of each.

    Loaded under the lock of the lots. ``again`` are the lots whose course must be
    read again: something was written before their last entry, or does not fit.
    """

    amounts: dict[Spot, Decimal]
    last: dict[int, date]
    again: set[int]
    changed: set[Spot]

    def take(self, row: Movement) -> None:
        """Follow one entry, just written, in the order of the writing."""
        spot, lot = (row.lot_id, row.place_id), row.lot_id
        before = self._held(lot)
        self.amounts[spot] += row.amount
        self.changed.add(spot)
        after, last = self.amounts[spot], self.last.get(lot)
        follows = last is None or row.on >= last
        plain = row.kind != KIND.REVERSED and row.rank is None
        begun = before > 0 or row.kind in Movement.STARTS
        weighs = row.kind != KIND.REWEIGHED or after > 0
        if not (follows and plain and begun and weighs and after >= 0):
            self.again.add(lot)
        self.last[lot] = row.on if last is None else max(last, row.on)

    def _held(self, lot: int) -> Decimal:
        held = (amount for (of, _), amount in self.amounts.items() if of == lot)
        return sum(held, Decimal(0))

    def write(self) -> None:
        """One statement, however many rows; a new lot or place gets its row."""
        rows = [
            Stock(lot_id=lot, place_id=place, amount=self.amounts[lot, place])
            for lot, place in sorted(self.changed)
        ]
        Stock.objects.bulk_create(
            rows,
            update_conflicts=True,
            unique_fields=["lot", "place"],
            update_fields=["amount"],
        )


def kept_of(lots: Iterable[int]) -> Kept:
    """Of these lots, in one query; one without rows has no entry yet."""
    last = Movement.objects.filter(lot=OuterRef("lot")).order_by("-on", "-id")
    rows = Stock.objects.filter(lot__in=set(lots)).annotate(
        last=Subquery(last.values("on")[:1])
    )
    kept = Kept(defaultdict(Decimal), {}, set(), set())
    for lot, place, amount, on in rows.values_list("lot", "place", "amount", "last"):
        kept.amounts[lot, place] = amount
        kept.last[lot] = on
    return kept


@transaction.atomic
def remake_stock() -> int:
    """Make every row anew from the entries, and say how many there are."""
    lock_book()
    sums: Mapping[Spot, Decimal] = entered()
    Stock.objects.all().delete()
    rows = [
        Stock(lot_id=lot, place_id=place, amount=total)
        for (lot, place), total in sorted(sums.items())
    ]
    Stock.objects.bulk_create(rows, batch_size=500)
    return len(rows)
