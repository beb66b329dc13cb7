"""What the book does not know, since it was restored from a backup."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.contents.reads.open_batches import in_open_batches
from production.fitness.reads.rows import load
from production.record.models.workshop import CodeSeries
from production.stock.models.batches import Batch
from production.stock.models.counts import Count
from production.stock.models.lots import Lot
from production.stock.models.restored import SinceBackup


def series_now() -> dict[str, int]:
    """How far every series of codes and numbers has come."""
    return dict(CodeSeries.objects.values_list("name", "last"))


@dataclass(frozen=True, slots=True)
class Uncertain:
    """A lot on hand, or an open batch, with alkali in it or soap."""

    lot: Lot | None
    batch: Batch | None = None
    on_hand: Decimal = Decimal(0)

    @property
    def thing(self) -> Lot | Batch | None:
        return self.lot or self.batch


def alkaline_here(on: date) -> list[Uncertain]:
    """All that may have been checked or held since the backup; a fixed number of
    queries."""
    here = list(Lot.objects.in_stock().select_related("item").order_by("item__name"))
    open_uses = in_open_batches()
    family = load([*here, *(use.lot for use in open_uses)]).family(on)
    found = [
        Uncertain(lot, None, lot.on_hand) for lot in here if family.alkaline(lot.code)
    ]
    batches = [use.batch for use in open_uses if family.alkaline(use.lot.code)]
    return [*(Uncertain(None, one) for one in dict.fromkeys(batches)), *found]


def to_count_again() -> list[Lot]:
    """Lots of which something was sold or used since a backup, and that nobody has
    counted since that was said."""
    wanted = {
        pk: answer.deed_id
        for answer in SinceBackup.objects.order_by("pk")
        for pk in answer.to_count
    }
    if not wanted:
        return []
    counted: dict[int, int] = {}
    for lot, deed in Count.objects.filter(lot__in=wanted).values_list("lot", "deed"):
        counted[lot] = max(deed, counted.get(lot, 0))
    left = [pk for pk, since in wanted.items() if counted.get(pk, 0) < since]
    lots = Lot.objects.filter(pk__in=left).in_stock()
    return list(lots.select_related("item").order_by("item__name", "id"))
