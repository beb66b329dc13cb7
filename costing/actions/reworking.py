"""Lots and batches are worked anew: inputs first, and no further than values change."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from heapq import heappop, heappush

from django.db.models import Min

from costing.actions.kept_rows import KeptRows
from costing.domain.kept import gone
from costing.domain.rollup import Course, Flow, Sold, go_on
from costing.models import KeptBatch, KeptFlow, KeptLot
from costing.reads.book import batch_nodes, lot_nodes, whole_book
from costing.reads.keeping import (
    Inside,
    KeepBatch,
    facts_of,
    keep_batch,
    keep_flow,
    work_out,
)
from production.models import Batch, Given, Lot, Movement
from production.quantities.domain.refusal import Refused
from production.yields.reads import standing_work

KIND = Movement.Kind
LOT, BATCH = "lot", "batch"
# So often no lot is worked anew in one deed, but where it is made from itself.
ROUND = 30
Node = tuple[str, int]


@dataclass(slots=True)
class Reworked:
    """How many lots and batches were worked anew, and entries merely added."""

    lots: int = 0
    batches: int = 0
    added: int = 0


class Rework:
    """A queue of lots and batches by their level, worked off from below."""

    def __init__(self) -> None:
        self.rows = KeptRows()
        self.count = Reworked()
        self.heap: list[tuple[int, Node]] = []
        self.levels: dict[Node, int] = {}
        self.asked: set[Node] = set()
        self.times: Counter[Node] = Counter()

    def run(
        self,
        lots: Collection[int],
        batches: Collection[int],
        went: dict[int, list[Movement]],
    ) -> Reworked:
        """``went`` are new entries of lots that are else as they were."""
        later = {pk: rows for pk, rows in went.items() if pk not in lots}
        whole = {*lots, *self._go_on(later)}
        self._ask(LOT, whole)
        self._ask(BATCH, batches)
        self.asked = set(self.levels)
        while self.heap:
            self._next()
        self.rows.close()
        return self.count

    # -- the queue

    def _ask(self, kind: str, keys: Collection[int]) -> None:
        """Queue them at the level that is kept of them, at the lowest where none is."""
        new = [pk for pk in keys if (kind, pk) not in self.levels]
        model = KeptLot if kind == LOT else KeptBatch
        rows = model._default_manager.filter(pk__in=new).values_list("pk", "level")
        # One alone comes next, whatever its level.
        kept = dict(rows) if len(new) + len(self.levels) > 1 else {}
        for pk in new:
            self._push((kind, pk), kept.get(pk, 0))

    def _push(self, node: Node, level: int) -> None:
        self.levels[node] = level
        heappush(self.heap, (level, node))

    def _next(self) -> None:
        """All of one kind on the lowest level at once."""
        level, (kind, _) = self.heap[0]
        group: list[int] = []
        while self.heap and self.heap[0][0] == level and self.heap[0][1][0] == kind:
            _, node = heappop(self.heap)
            if self.levels.get(node) == level:
                del self.levels[node]
                group.append(node[1])
                self._not_round(node)
        if group:
            (self._lots if kind == LOT else self._batches)(group)

    def _not_round(self, node: Node) -> None:
        self.times[node] += 1
        if self.times[node] > ROUND:
            whole_book()
            raise Refused(
                "A lot is made from itself: correct the use that closes the circle."
            )

    def _waits(self, node: Node, behind: Iterable[Node]) -> bool:
        """Queue it above what is queued behind it, if anything is."""
        levels = [self.levels[one] for one in behind if one in self.levels]
        if levels:
            self._push(node, max(levels) + 1)
        return bool(levels)

    # -- lots

    def _lots(self, keys: list[int]) -> None:
        rows = Lot.objects.filter(pk__in=keys).select_related("item", "batch")
        made = KeptBatch.objects.in_bulk(
            rows.filter(batch__isnull=False).values_list("batch", flat=True)
        )
        unkept = [r.batch_id for r in rows if r.batch_id and r.batch_id not in made]
        self._ask(BATCH, unkept)
        ready = [
            row
            for row in rows
            if not self._waits((LOT, row.pk), [(BATCH, row.batch_id or 0)])
        ]
        if not ready:
            return
        nodes = lot_nodes(ready, {row.pk for row in ready})
        marks = {flow.batch for node in nodes for flow in node.flows if flow.batch}
        into = Batch.objects.filter(code__in=marks).values_list("code", "pk")
        codes = dict(into) if marks else {}
        keeps = [
            work_out(lot.pk, node, made.get(lot.batch_id or 0), codes)
            for lot, node in zip(ready, nodes, strict=True)
        ]
        before = KeptLot.objects.in_bulk([lot.pk for lot in ready])
        stand = _standing(KeptFlow.objects.filter(lot__in=ready), "lot_id")
        changed = self.rows.lots(keeps, stand)
        self.count.lots += len(keeps)
        for keep in keeps:
            was = before.get(keep.row.lot_id)
            if was is None or _tells_more(was, keep.row):
                flows = keep.flows.values()
                changed[keep.row.lot_id] |= {f.batch_id for f in flows if f.batch_id}
        self._ask(BATCH, set().union(*changed.values()))

    # -- batches

    def _batches(self, keys: list[int]) -> None:
        uses = Movement.objects.used().filter(batch__in=keys).order_by()
        behind: dict[int, set[int]] = defaultdict(set)
        for batch, lot in uses.values_list("batch", "lot").distinct():
            behind[batch].add(lot)
        kept = KeptLot.objects.in_bulk(set().union(*behind.values()))
        self._ask(LOT, {pk for own in behind.values() for pk in own} - kept.keys())
        ready = [
            pk
            for pk in keys
            if not self._waits((BATCH, pk), [(LOT, lot) for lot in behind[pk]])
        ]
        if not ready:
            return
        before = KeptBatch.objects.in_bulk(ready)
        stand = _standing(KeptFlow.objects.filter(batch__in=ready), "batch_id")
        keeps = list(_keep_batches(ready, kept, stand))
        self.rows.batches(keeps, _steps_of(stand))
        self.count.batches += len(keeps)
        reached = {
            keep.row.pk
            for keep in keeps
            if (BATCH, keep.row.pk) in self.asked
            or keep.row.pk not in before
            or before[keep.row.pk].level != keep.row.level
            or facts_of(before[keep.row.pk]) != facts_of(keep.row)
        }
        lots = Lot.objects.filter(batch__in=reached).values_list("pk", flat=True)
        self._ask(LOT, set(lots))

    # -- what comes after all else of its lot

    def _go_on(self, went: dict[int, list[Movement]]) -> set[int]:
        """Add new entries to their lots; gives those that must be walked whole."""
        whole: set[int] = set()
        kept = KeptLot.objects.in_bulk(went) if went else {}
        rows: list[KeptLot] = []
        flows: list[KeptFlow] = []
        batches: set[int] = set()
        for pk, entries in went.items():
            entries = [row for row in entries if row.kind != KIND.MOVED]
            entries.sort(key=lambda row: (row.on, row.pk))
            if not entries:
                continue
            row = kept.get(pk)
            new = _added(row, entries) if row is not None else None
            if row is None or new is None:
                whole.add(pk)
                continue
            rows.append(row)
            flows += new
            batches |= {flow.batch_id for flow in new if flow.batch_id}
            self.count.added += len(new)
        if rows:
            self.rows.went(rows, flows)
        self._ask(BATCH, batches)
        return whole


def _standing(rows: Iterable[KeptFlow], key: str) -> dict[int, list[KeptFlow]]:
    found: dict[int, list[KeptFlow]] = defaultdict(list)
    for row in rows:
        found[getattr(row, key)].append(row)
    return found


def _steps_of(stand: dict[int, list[KeptFlow]]) -> dict[int, list[KeptFlow]]:
    """What was worked on batches, without what lots gave to them."""
    steps = {pk: [row for row in rows if not row.lot_id] for pk, rows in stand.items()}
    return defaultdict(list, steps)


def _tells_more(was: KeptLot, now: KeptLot) -> bool:
    """Whether it is another to whom it went into, were its flows the same."""
    return (was.missing, was.level) != (now.missing, now.level)


def _keep_batches(
    keys: list[int], kept: dict[int, KeptLot], stand: dict[int, list[KeptFlow]]
) -> Iterable[KeepBatch]:
    rows = Batch.objects.filter(pk__in=keys)
    ends = Movement.objects.made().filter(batch__in=keys).order_by().values("batch")
    ended = dict(ends.annotate(first=Min("on")).values_list("batch", "first"))
    work = standing_work().filter(batch__in=keys)
    for pk, node in batch_nodes(rows, work, {}).items():
        inside = Inside()
        for flow in stand[pk]:
            if flow.lot_id is not None:
                inside.take(flow.on, flow.parts, kept[flow.lot_id])
        yield keep_batch(pk, node, inside, ended.get(pk))


def _added(row: KeptLot, entries: Sequence[Movement]) -> list[KeptFlow] | None:
    """Go on from where a lot stands, and change its row; None where that will not do.

    That is before its last entry, in a trial (a day on which it is accepted may come
    later), or where nothing is known of it.
    """
    if row.began is None or row.tried or (row.last and entries[0].on < row.last):
        return None
    course = Course(
        row.left,
        row.amount_left,
        row.last_parts,
        row.last_amount,
        row.reweighed,
    )
    given = [one.pk for one in entries if one.kind == KIND.GIVEN]
    why = Given.objects.filter(movement__in=given).values_list("movement", "why")
    whys = dict(why) if given else {}
    flows = [
        Flow(
            one.pk,
            one.kind,
            one.amount,
            sale=one.sale_line_id,
            on=one.on,
            why=whys.get(one.pk, ""),
        )
        for one in entries
    ]
    course, taken = go_on(str(row.lot_id), course, _sold_before(row, entries), flows)
    if course.unpriced:
        return None
    rate, rate_amount = course.rate(row.start, row.started)
    row.left, row.amount_left = dict(course.left), course.amount
    row.last_parts, row.last_amount = dict(course.last), course.last_amount
    row.rate, row.rate_amount = dict(rate), rate_amount
    row.reweighed, row.last = course.reweighed, entries[-1].on
    row.ended = None if course.amount else row.last
    into = {one.pk: one.batch_id for one in entries}
    return [
        keep_flow(row.lot_id, gone(flow, taken[flow.id]), into[flow.id])
        for flow in flows
        if flow.id in taken
    ]


def _sold_before(row: KeptLot, entries: Sequence[Movement]) -> dict[int, Sold]:
    """Of each line of which something comes back: what it took of the lot before."""
    lines = {one.sale_line_id for one in entries if one.kind == KIND.RETURNED}
    if not lines:
        return {}
    found: dict[int, Sold] = {}
    mine = {one.pk for one in entries}
    # What came back and was destroyed names its line too.
    rows = KeptFlow.objects.filter(
        lot=row.lot_id,
        movement__sale_line__in=lines,
        movement__kind__in=(KIND.SOLD, KIND.RETURNED),
    )
    for flow in rows.exclude(movement__in=mine).select_related("movement"):
        one = flow.movement
        line = found.setdefault(one.sale_line_id, Sold(Decimal(0), {}, Decimal(0)))
        if one.kind == KIND.RETURNED:
            line = replace(line, returned=line.returned + one.amount)
        else:
            parts = dict(line.parts)
            for name, nano in flow.parts.items():
                parts[name] = parts.get(name, 0) + nano
            line = replace(line, amount=line.amount - one.amount, parts=parts)
        found[one.sale_line_id] = line
    return found
