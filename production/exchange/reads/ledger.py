"""The stock book's own entries, told as events."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch

from production.exchange import domain as history
from production.exchange.reads.events import (
    TOLD_WITH_CLOSINGS,
    Spot,
    Told,
    not_before,
    told_of,
)
from production.record.domain.keys import Event
from production.record.models.ink import Closing, Deed
from production.record.reads.restated import as_now
from production.selling.models import EmptyBack, Looked
from production.stock.models.counts import Count
from production.stock.models.lots import Given, Lot, Movement, OpenPack, Status
from production.stock.models.readings import Constituent, FragranceDocument

KIND = Movement.Kind
STARTS = {KIND.RECEIVED, KIND.OPENING, KIND.MADE}
# What a change of one lot at one place is told as.
CHANGES: dict[str, type[Event]] = {
    KIND.COUNTED: history.Count,
    KIND.REWEIGHED: history.Reweigh,
    KIND.GIVEN: history.Given,
    KIND.DISCARDED: history.Loss,
    KIND.SENT_BACK: history.SentBack,
}


class Ledger:
    """The standing entries, loaded once, and where each lot begins in the book."""

    def __init__(self) -> None:
        rows = (
            Movement.objects.standing()
            .in_book_order()
            .select_related("lot__item", "place", "deed", "batch")
        )
        self.rows = as_now(rows)
        self.deed_of = dict(Movement.objects.values_list("pk", "deed_id"))
        self.reasons = dict(Deed.objects.exclude(reason="").values_list("pk", "reason"))
        self.starts = {row.lot_id: row for row in self.rows if row.kind in STARTS}
        self.first_status: dict[int, Status] = {}
        self.later_statuses: list[Status] = []
        for status in Status.objects.select_related("deed", "lot").order_by("pk"):
            self._sort_status(status)
        self.constituents: dict[int, dict[str, Decimal]] = defaultdict(dict)
        for row in Constituent.objects.filter(document=None).order_by("pk"):
            self.constituents[row.lot_id][row.inci] = row.share

    def _sort_status(self, status: Status) -> None:
        start = self.starts.get(status.lot_id)
        if start is None:
            return
        began = self.order(start)
        first = self.first_status.get(status.lot_id)
        # Of several in the deed that began it, the last is what it was from then on.
        if status.deed_id >= began and (first is None or first.deed == status.deed):
            self.first_status[status.lot_id] = status
        elif status.deed_id > began:
            self.later_statuses.append(status)

    def order(self, row: Movement) -> int:
        """The deed that an entry stands for: a corrected one keeps its place."""
        return self.deed_of[row.rank] if row.rank else row.deed_id

    def spot(self, row: Movement) -> Spot:
        return row.on, self.order(row)

    def reason(self, row: Movement) -> str:
        """Why, as it was first written; a correction's own reason stays behind."""
        return self.reasons.get(self.order(row), "")

    def of_kind(self, *kinds: str) -> Iterator[Movement]:
        return (row for row in self.rows if row.kind in kinds)

    def first_word(self, lot: Lot) -> str:
        """The status that a lot began with."""
        first = self.first_status.get(lot.pk)
        return first.status if first else "released"

    def goods(self, lot: Lot) -> history.Goods:
        shares = self.constituents.get(lot.pk, {})
        # Told only where its item counts otherwise by now.
        component = "" if lot.component == lot.item.component else lot.component
        return told_of(
            history.Goods,
            lot,
            status=self.first_word(lot),
            constituents=shares,
            component=component,
        )

    def after_start(self, on: date, deed: int, lot: int) -> Spot:
        """Where something of a lot is told: never before the lot begins."""
        return not_before(on, deed, self.spot(self.starts[lot]))


def ledger_events(book: Ledger, batches: dict[int, Spot]) -> Iterator[Told]:
    """``batches`` is where each batch begins in the file."""
    yield from _openings(book)
    yield from _changes(book, batches)
    yield from _counts_that_agreed(book)
    yield from _moves(book)
    yield from _statuses(book)
    yield from _open_packs(book)
    yield from _documents(book)
    yield from _closings()


def _openings(book: Ledger) -> Iterator[Told]:
    empties = set(EmptyBack.objects.values_list("movement__lot", flat=True))
    for row in book.of_kind(KIND.OPENING, KIND.RECEIVED):
        lot = row.lot
        if lot.pk in empties:
            continue
        event: Event
        if row.kind == KIND.OPENING:
            own = {"kind": lot.item.kind, "category": "", "goods": book.goods(lot)}
            event = told_of(history.Opening, row, lot, lot.item, **own, reason="")
        elif lot.line_id is None:
            event = told_of(history.Tap, row, lot, reason="")
        else:
            continue
        yield Told(row.on, book.order(row), 0, event)


def _changes(book: Ledger, batches: dict[int, Spot]) -> Iterator[Told]:
    given = {row.movement_id: row for row in as_now(Given.objects.all())}
    counts = {row.entry_id: row for row in Count.objects.select_related("batch")}
    for row in book.of_kind(*CHANGES):
        if row.kind == KIND.DISCARDED and row.sale_line_id:
            continue
        count = counts.get(row.pk)
        why = (count and count.why) or book.reason(row) or row.deed.reason
        facts: dict[str, Any] = {"reason": why, "amount": -row.amount}
        if row.kind in (KIND.COUNTED, KIND.REWEIGHED):
            facts["difference"] = -facts.pop("amount")
            facts["found"] = count and count.found
        if row.kind == KIND.COUNTED:
            facts["batch"] = _told_batch(count, book.spot(row), batches)
        if row.kind == KIND.GIVEN:
            to = given[row.root_id or row.pk]
            facts |= {"why": to.why, "recipient": to.recipient}
        event = told_of(CHANGES[row.kind], row, **facts)
        yield Told(row.on, book.order(row), 1, event)


def _told_batch(
    count: Count | None, spot: Spot, batches: dict[int, Spot]
) -> str | None:
    """The batch that may have got the rest, once it had begun."""
    if count is None or count.batch is None:
        return None
    begun = batches.get(count.batch.pk)
    return count.batch.code if begun and begun <= spot else None


def _counts_that_agreed(book: Ledger) -> Iterator[Told]:
    rows = Count.objects.filter(entry__isnull=True)
    for row in rows.select_related("deed", "lot", "place").order_by("pk"):
        if row.lot_id not in book.starts:
            continue
        on, order = book.after_start(row.on, row.deed_id, row.lot_id)
        facts = {"difference": Decimal(0), "batch": None}
        why = row.why or row.deed.reason
        event = told_of(history.Count, row, on=on, reason=why, **facts)
        yield Told(on, order, 1, event)


def _moves(book: Ledger) -> Iterator[Told]:
    halves: dict[tuple[int, int], dict[bool, Movement]] = defaultdict(dict)
    looks = set(Looked.objects.values_list("deed", flat=True))
    for row in book.of_kind(KIND.MOVED):
        if row.deed_id in looks:
            continue
        halves[row.deed_id, row.lot_id][row.amount > 0] = row
    for pair in halves.values():
        start, end = pair[False], pair[True]
        event = history.Move(
            on=start.on,
            lot=start.lot.code,
            amount=end.amount,
            place=start.place.name,
            to=end.place.name,
            reason=start.deed.reason,
        )
        yield Told(start.on, start.deed_id, 1, event)


def _statuses(book: Ledger) -> Iterator[Told]:
    for row in sorted(book.later_statuses, key=lambda row: (row.on, row.pk)):
        on, order = book.after_start(row.on, row.deed_id, row.lot_id)
        yield Told(on, order, 8, told_of(history.Status, row, on=on))


def _open_packs(book: Ledger) -> Iterator[Told]:
    rows = OpenPack.objects.select_related("deed", "lot").order_by("deed__on", "pk")
    for row in rows:
        if row.lot_id not in book.starts:
            continue
        on, order = book.after_start(row.deed.on, row.deed_id, row.lot_id)
        yield Told(on, order, 8, told_of(history.OpenPack, row, on=on))


def _documents(book: Ledger) -> Iterator[Told]:
    """The papers of each lot in the order they were written: the last one counts."""
    after = {pk: book.spot(start) for pk, start in book.starts.items()}
    rows = FragranceDocument.objects.select_related("deed", "lot").order_by("pk")
    for row in rows.prefetch_related(
        Prefetch("constituents", Constituent.objects.order_by("pk"))
    ):
        if row.lot_id not in after:
            continue
        spot = not_before(row.deed.on, row.deed_id, after[row.lot_id])
        after[row.lot_id] = spot
        shares = {part.inci: part.share for part in row.constituents.all()}
        event = told_of(history.FragranceDocument, row, constituents=shares)
        yield Told(*spot, 7, event)


def _closings() -> Iterator[Told]:
    beside = [tell() for tell in TOLD_WITH_CLOSINGS]
    last = date.min
    for row in Closing.objects.select_related("deed").order_by("pk"):
        last = max(last, row.deed.on)
        frozen = {"statement": ""}
        for found in beside:
            frozen |= found.get(row.pk, {})
        event = told_of(history.Closing, row, **frozen)
        yield Told(last, row.deed_id, 9, event)
