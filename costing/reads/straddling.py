"""What a day finds half done: batches into which more went after it, and their kin.

Their lots are kept with all that ever went in. On the day they were worth less, and so
was all that came of them by then: these are worked anew from what had gone in by then,
and no others.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from datetime import date

from django.db.models import F, Q

from costing.domain.kept import Step, accounts
from costing.models import KeptBatch, KeptFlow, KeptLot
from costing.reads.book import batch_nodes, lot_nodes
from costing.reads.keeping import Inside, KeepBatch, KeepLot, keep_batch, work_out
from production.models import Batch, Lot
from production.yields.reads import standing_work


@dataclass(frozen=True, slots=True)
class Straddling:
    """Lots and batches by their keys, as they stood at the end of the day.

    ``accounts`` is what that changes in the accounts of the book.
    """

    lots: dict[int, KeepLot] = field(default_factory=dict)
    batches: dict[int, KeepBatch] = field(default_factory=dict)
    accounts: dict[str, int] = field(default_factory=dict)


def straddling(day: date) -> Straddling:
    """In two queries where no batch straddles the day.

    In no order, since a database reads all of a table to keep the order of its keys.
    """
    grown = KeptLot.objects.order_by().filter(began__lte=day, settled__gt=day)
    seeds = set(grown.filter(settled__gt=F("began")).values_list("pk", flat=True))
    several = KeptBatch.objects.order_by().filter(first__lte=day, last__gt=day)
    open_then = several.filter(last__gt=F("first"))
    open_then = open_then.filter(Q(ended=None) | Q(ended__gt=day))
    batches = set(open_then.values_list("pk", flat=True))
    if not seeds and not batches:
        return Straddling()
    lots, reached = _downstream(seeds, day)
    return _anew(lots, batches | reached, day)


def _downstream(seeds: set[int], day: date) -> tuple[set[int], set[int]]:
    """All that came of these lots by that day, and the batches that they went into."""
    lots, batches, edge = set(seeds), set[int](), set(seeds)
    rows = Lot.objects.filter(pk__in=seeds, batch__isnull=False)
    batches |= set(rows.values_list("batch", flat=True))
    while edge:
        uses = KeptFlow.objects.filter(lot__in=edge, batch__isnull=False, on__lte=day)
        into = set(uses.values_list("batch", flat=True)) - batches
        batches |= into
        made = Lot.objects.filter(batch__in=into).values("pk")
        there = KeptLot.objects.filter(pk__in=made, began__lte=day)
        edge = set(there.values_list("pk", flat=True)) - lots
        lots |= edge
    return lots, batches


def _anew(lots: set[int], batches: set[int], day: date) -> Straddling:
    work = _Workbench(lots, batches, day)
    for lot in work.in_order():
        work.lot(lot)
    for pk in batches - work.found.batches.keys():
        work.batch(pk)
    return work.told()


class _Workbench:
    """Lots and batches of a day, each worked out once all that is in it is."""

    def __init__(self, lots: set[int], batches: set[int], day: date) -> None:
        self.day, self.found = day, Straddling()
        self.lots, self.batches = lots, batches
        rows = list(
            Lot.objects.filter(pk__in=lots)
            .select_related("item", "batch")
            .order_by("pk")
        )
        self.rows = {row.pk: row for row in rows}
        nodes = lot_nodes(rows, lots, day) if rows else []
        self.nodes = {row.pk: node for row, node in zip(rows, nodes, strict=True)}
        self.of_batch = batch_nodes(
            Batch.objects.filter(pk__in=batches),
            standing_work().filter(batch__in=batches),
            {},
            day,
        )
        self.codes = {node.code: pk for pk, node in self.of_batch.items()}
        ends = KeptBatch.objects.filter(pk__in=batches, ended__lte=day)
        self.ended = dict(ends.values_list("pk", "ended"))
        self.inside: dict[int, Inside] = defaultdict(Inside)
        self._from_others()

    def _from_others(self) -> None:
        """What went into the batches from lots that are as they are kept."""
        rows = KeptFlow.objects.filter(
            batch__in=self.batches, lot__isnull=False, on__lte=self.day
        )
        rows = list(rows.exclude(lot__in=self.lots))
        kept = KeptLot.objects.in_bulk({row.lot_id for row in rows})
        for row in rows:
            self.inside[row.batch_id].take(row.on, row.parts, kept[row.lot_id])

    def in_order(self) -> list[int]:
        """The lots, inputs first."""
        rows = KeptLot.objects.filter(pk__in=self.lots).order_by("level", "pk")
        return list(rows.values_list("pk", flat=True))

    def lot(self, pk: int) -> None:
        batch = self.rows[pk].batch_id
        row = self.batch(batch).row if batch else None
        keep = work_out(pk, self.nodes[pk], row, self.codes)
        self.found.lots[pk] = keep
        for flow in keep.flows.values():
            if flow.batch_id:
                self.inside[flow.batch_id].take(flow.on, flow.parts, keep.row)

    def batch(self, pk: int) -> KeepBatch:
        node = self.of_batch[pk]
        keep = keep_batch(pk, node, self.inside[pk], self.ended.get(pk))
        self.found.batches[pk] = keep
        return keep

    def told(self) -> Straddling:
        """With what the accounts are then, less what they were as kept."""
        steps = [
            Step(row.on, row.out_of, row.into, row.value)
            for lot in self.found.lots.values()
            for row in (*lot.flows.values(), *lot.steps)
        ]
        steps += [
            Step(row.on, row.out_of, row.into, row.value)
            for batch in self.found.batches.values()
            for row in batch.steps
        ]
        own = Q(lot__in=self.lots) | Q(lot=None, batch__in=self.batches)
        kept = KeptFlow.objects.filter(own, on__lte=self.day).by_account()
        changed = Counter(accounts(steps))
        changed.subtract(kept)
        return Straddling(self.found.lots, self.found.batches, dict(changed))
