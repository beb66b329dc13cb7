"""The stock book's own entries, told as events."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from django.db.models import Prefetch

from production.models import (
    Closing,
    Constituent,
    Count,
    Deed,
    FragranceDocument,
    Given,
    Looked,
    Lot,
    Movement,
    OpenPack,
    Status,
)
from production.reads.history.told import (
    TOLD_WITH_CLOSINGS,
    Facts,
    Spot,
    Told,
    day,
    figure,
    not_before,
    some,
)
from production.reads.restated import as_now

KIND = Movement.Kind
STARTS = {KIND.RECEIVED, KIND.OPENING, KIND.MADE}
HOME = "workshop"


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
        self.constituents: dict[int, dict[str, str]] = defaultdict(dict)
        for row in Constituent.objects.filter(document=None).order_by("pk"):
            self.constituents[row.lot_id][row.inci] = figure(row.share) or "0"

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

    def lot_facts(self, lot: Lot) -> Facts:
        """What a lot says beside its code and amount; its status always."""
        first = self.first_status.get(lot.pk)
        return some(
            {"status": first.status if first else "released"},
            expires=day(lot.expires),
            constituents=self.constituents.get(lot.pk),
            labelled=day(lot.labelled),
        )


def place_of(row: Movement | Count) -> str | None:
    return None if row.place.name == HOME else row.place.name


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
    for row in book.of_kind(KIND.OPENING, KIND.RECEIVED):
        lot = row.lot
        facts: Facts = {"date": day(row.on), "lot": lot.code, "item": lot.item.name}
        if row.kind == KIND.OPENING:
            facts = {
                "type": "opening",
                **facts,
                "kind": lot.item.kind,
                "amount": figure(row.amount),
                "unit": lot.item.unit,
                "value": figure(row.value),
                "supplier_lot": lot.supplier_lot,
                **book.lot_facts(lot),
            }
            some(facts, net_mass=figure(lot.net_mass), place=place_of(row))
        elif lot.line_id is None:
            figures = {"amount": figure(row.amount), "value": figure(row.value)}
            facts = {"type": "tap", **facts, **figures}
        else:
            continue
        yield Told(row.on, book.order(row), 0, facts)


def _changes(book: Ledger, batches: dict[int, Spot]) -> Iterator[Told]:
    given = {row.movement_id: row for row in as_now(Given.objects.all())}
    counts = {row.entry_id: row for row in Count.objects.select_related("batch")}
    for row in book.of_kind(KIND.COUNTED, KIND.REWEIGHED, KIND.GIVEN, KIND.DISCARDED):
        if row.kind == KIND.DISCARDED and row.sale_line_id:
            continue
        facts: Facts = {"type": "", "date": day(row.on), "lot": row.lot.code}
        if row.kind in (KIND.COUNTED, KIND.REWEIGHED):
            facts["type"] = "count" if row.kind == KIND.COUNTED else "reweigh"
            facts["difference"] = figure(row.amount)
            facts |= _found(counts.get(row.pk), book.spot(row), batches)
        else:
            facts["type"] = "loss" if row.kind == KIND.DISCARDED else "given"
            facts["amount"] = figure(-row.amount)
        if row.kind == KIND.GIVEN:
            why = given[row.root_id or row.pk]
            some(facts, why=why.why, recipient=why.recipient)
        count = counts.get(row.pk)
        reason = (count and count.why) or book.reason(row) or row.deed.reason
        some(facts, reason=reason, place=place_of(row))
        yield Told(row.on, book.order(row), 1, facts)


def _found(count: Count | None, spot: Spot, batches: dict[int, Spot]) -> Facts:
    """What was found, and the batch that may have got the rest, once it had begun."""
    if count is None:
        return {}
    begun = batches.get(count.batch_id or 0)
    told = count.batch if count.batch and begun and begun <= spot else None
    return some({"found": figure(count.found)}, batch=told.code if told else None)


def _counts_that_agreed(book: Ledger) -> Iterator[Told]:
    rows = Count.objects.filter(entry__isnull=True)
    for row in rows.select_related("deed", "lot", "place").order_by("pk"):
        start = book.starts.get(row.lot_id)
        if start is None:
            continue
        on, order = not_before(row.on, row.deed_id, book.spot(start))
        facts: Facts = {"type": "count", "date": day(on), "lot": row.lot.code}
        facts |= {"difference": "0", "found": figure(row.found)}
        reason = row.why or row.deed.reason
        yield Told(on, order, 1, some(facts, reason=reason, place=place_of(row)))


def _moves(book: Ledger) -> Iterator[Told]:
    halves: dict[tuple[int, int], dict[bool, Movement]] = defaultdict(dict)
    looks = set(Looked.objects.values_list("deed", flat=True))
    for row in book.of_kind(KIND.MOVED):
        if row.deed_id in looks:
            continue
        halves[row.deed_id, row.lot_id][row.amount > 0] = row
    for pair in halves.values():
        start, end = pair[False], pair[True]
        facts: Facts = {"type": "move", "date": day(start.on), "lot": start.lot.code}
        facts["amount"] = figure(end.amount)
        facts |= {"from": start.place.name, "to": end.place.name}
        some(facts, reason=start.deed.reason)
        yield Told(start.on, start.deed_id, 1, facts)


def _statuses(book: Ledger) -> Iterator[Told]:
    for row in sorted(book.later_statuses, key=lambda row: (row.on, row.pk)):
        start = book.spot(book.starts[row.lot_id])
        on, order = not_before(row.on, row.deed_id, start)
        facts: Facts = {"type": "status", "date": day(on), "lot": row.lot.code}
        facts["status"] = row.status
        yield Told(on, order, 8, some(facts, reason=row.deed.reason))


def _open_packs(book: Ledger) -> Iterator[Told]:
    rows = OpenPack.objects.select_related("deed", "lot").order_by("deed__on", "pk")
    for row in rows:
        start = book.starts.get(row.lot_id)
        if start is None:
            continue
        on, order = not_before(row.deed.on, row.deed_id, book.spot(start))
        facts: Facts = {"type": "open_pack", "date": day(on), "lot": row.lot.code}
        yield Told(on, order, 8, some(facts, reason=row.deed.reason))


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
        facts: Facts = {"type": "fragrance_document", "date": day(row.deed.on)}
        facts |= {"lot": row.lot.code, "edition": row.edition}
        some(
            facts,
            dated=day(row.dated),
            flash_point=figure(row.flash_point),
            vanillin=figure(row.vanillin),
            most=figure(row.most),
            constituents={
                part.inci: figure(part.share) for part in row.constituents.all()
            },
            reason=row.deed.reason,
        )
        yield Told(*spot, 7, facts)


def _closings() -> Iterator[Told]:
    beside = [tell() for tell in TOLD_WITH_CLOSINGS]
    last = date.min
    for row in Closing.objects.select_related("deed").order_by("pk"):
        last = max(last, row.deed.on)
        facts: Facts = {"type": "closing", "date": day(row.deed.on)}
        facts["through"] = day(row.through)
        some(facts, reason=row.deed.reason)
        for frozen in beside:
            facts |= frozen.get(row.pk, {})
        yield Told(last, row.deed_id, 9, facts)
