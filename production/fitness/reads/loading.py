"""The rows that the fitness question stands on, loaded for some lots at once.

Seven queries, whatever the ledger's length: the closure behind the lots, their headers,
what their batches took, what was read on them and put right since, their holds, and
their statuses; one more where something was held, one where there are trials, three
where the book was restored from a backup. Rows that were taken back are loaded too, so
that the book can be asked as it stood at an earlier deed.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date

from django.db.models import OuterRef, Prefetch, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from production.fitness.reads.superfats import NOW, VALUES, Superfats, Used
from production.record.models.ink import Deed
from production.record.reads.restated import OF, known_figures
from production.stock.domain.checks import VERDICTS
from production.stock.models.batches import Promotion
from production.stock.models.counts import Count
from production.stock.models.holds import Hold, HoldLifted
from production.stock.models.lots import Movement, Status
from production.stock.models.readings import Measurement
from production.stock.models.restored import Restored, SinceBackup
from production.workshop.models.items import Item

KIND, WHAT = Movement.Kind, Measurement.What


@dataclass
class Loaded(Superfats):
    """The rows of a family, as they stand in the book."""

    holds: list[Hold] = field(default_factory=list)
    promotions: list[Promotion] = field(default_factory=list)
    missing: list[Count] = field(default_factory=list)
    restores: list[Restored] = field(default_factory=list)
    until: date = date.max
    makes: Item | None = None
    statuses: dict[int, list[Status]] = field(default_factory=lambda: defaultdict(list))

    def fill(self) -> None:
        batches = {lot.batch_id for lot in self.lots.values() if lot.batch_id}
        if self.batch is not None:
            batches.add(self.batch.pk)
        self._fill_movements(batches)
        of_these = Q(lot__in=self.lots) | Q(batch__in=batches)
        self.readings = list(
            with_its_end(Measurement.written.filter(of_these))
            .filter(what__in=(*VERDICTS, *VALUES, WHAT.PH))
            .select_related("taken_back")
            .order_by("on", "-basis", "id")
        )
        self._fill_figures()
        found = Count.objects.filter(batch__in=batches).select_related("lot")
        self.missing = list(found)
        held = Q(lot__in=self.lots) | Q(batch__in=batches)
        answers = Prefetch("lifts", with_its_end(HoldLifted.written.all()))
        holds = with_its_end(Hold.written.filter(held))
        self.holds = list(holds.prefetch_related(answers))
        words = with_its_end(Status.written.filter(lot__in=self.asked))
        for row in words.order_by("on", "id"):
            self.statuses[row.lot_id].append(row)
        trials = {
            lot.batch_id
            for lot in self.lots.values()
            if lot.batch_id and lot.batch.trial
        }
        if any(lot.restored for lot in self.lots.values()):
            said = Prefetch("answers", with_its_end(SinceBackup.written.all()))
            self.restores = list(Restored.objects.prefetch_related(said))
        if trials:
            accepted = Promotion.written.filter(batch__in=trials)
            self.promotions = list(with_its_end(accepted.select_related("deed")))

    def _fill_figures(self) -> None:
        """What was put right of these lots and their values, and by which deed."""
        values = [row.pk for row in self.readings if row.what in VALUES]
        self.said = known_figures({OF.LOT: self.lots, OF.READING: values})
        items = self.said.pointed(OF.LOT, "item")
        items -= {lot.item_id for lot in self.lots.values()}
        if items:
            found = Item.objects.select_related("oil", "name_on_label")
            self.items = found.in_bulk(items)
        self.items |= {lot.item_id: lot.item for lot in self.lots.values()}

    def _fill_movements(self, batches: set[int]) -> None:
        # A look-up each: as a join SQLite would read every reversal there is.
        back = Movement.objects.filter(reverses=OuterRef("pk")).order_by()
        found = Movement.objects.filter(
            batch__in=batches, kind__in=(KIND.USED, KIND.MADE)
        ).annotate(taken=Subquery(back.values("deed")[:1]))
        rows = list(
            found.values_list(
                "pk",
                "kind",
                "lot_id",
                "batch_id",
                "amount",
                "on",
                "deed_id",
                "rank",
                "taken",
            )
        )
        deeds = {row[0]: row[6] for row in rows}
        for pk, kind, lot, batch, amount, on, deed, rank, taken in rows:
            into = self.used if kind == KIND.USED else self.made
            into[batch].append(
                Used(
                    lot=lot,
                    batch=batch,
                    amount=abs(amount),
                    on=on,
                    deed=deed,
                    first=deeds.get(rank or pk, deed),
                    taken=taken or NOW,
                    corrected=rank is not None,
                )
            )


def with_its_end(rows: QuerySet) -> QuerySet:
    """With the deed that took each row back."""
    back = Deed.objects.filter(undoes=OuterRef("deed")).order_by()
    return rows.annotate(ends=Coalesce(Subquery(back.values("pk")[:1]), NOW))
