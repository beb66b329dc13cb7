"""The book on a day: what was held then, what had gone out, and what it was worth.

The one way in for statements, books and pages that show a figure with a date. On a day
means the roll-up of the entries dated up to it, by all that is known now; where a batch
straddles the day, it and what came of it are worked anew. Read from kept values: what
it asks for hangs on what stood there on the day, not on how long the book is.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.db.models import BigIntegerField, CharField, F, Q, QuerySet, Sum, Value
from django.db.models.functions import Coalesce

from costing.domain.kept import (
    ABNORMAL,
    GIVEN,
    MAKING_COST,
    by_name,
    named,
    parent,
    totals_of,
)
from costing.domain.rollup import Parts, Totals
from costing.models import KeptBatch, KeptFlow, KeptLot, KeptMonth
from costing.reads.book import Book, book_at
from costing.reads.straddling import Straddling, straddling
from production.models import Batch, Loss, Lot, Movement

CAUSES = [ABNORMAL, *(named(ABNORMAL, name) for name in Loss.Kind.values)]


@dataclass(frozen=True, slots=True)
class ValuedFlow:
    """One entry that took something out of a lot or brought it back, with its value.

    ``parts`` are nano, signed as a loss to the lot. ``why`` is that of what was given,
    else "". ``known`` is False while a price behind it is missing: ``parts`` are then
    only what is known. ``trial``: of a trial that nobody had accepted.
    """

    movement: int
    lot: str
    on: date
    kind: str
    amount: Decimal
    parts: Parts
    why: str
    batch: str | None
    sale_line: int | None
    known: bool
    trial: bool


@dataclass(frozen=True, slots=True)
class ValuedLot:
    """What was left of a lot at the end of a day; ``parts`` are its value as stock."""

    code: str
    amount: Decimal
    parts: Parts
    known: bool
    trial: bool


@dataclass(frozen=True, slots=True)
class ValuedBatch:
    """What a batch held at the end of a day; ``lost``: it was lost whole by then."""

    code: str
    parts: Parts
    known: bool
    trial: bool
    lost: bool


@dataclass(frozen=True, slots=True)
class Spoilt:
    """What a batch lost in the making as an expense, in nano; ``lot`` None where it was
    lost whole. ``known`` is False while a price behind it is missing."""

    batch: str
    lot: str | None
    nano: int
    known: bool


@dataclass(frozen=True)
class OnDay:
    """The whole book as the last entry of ``day`` leaves it."""

    day: date

    @cached_property
    def half_done(self) -> Straddling:
        """What the day finds half done, as it stood then."""
        return straddling(self.day)

    @cached_property
    def book(self) -> Book:
        """The same from the entries alone: slow, and for proofs."""
        return book_at(self.day)

    @cached_property
    def accounts(self) -> dict[str, int]:
        """What each account of the book stands at since it began, in nano."""
        month = self.day.replace(day=1)
        stands: Counter[str] = Counter()
        for row in KeptMonth.objects.filter(month__lt=month):
            stands[row.account] += row.value
        since = KeptFlow.objects.filter(on__gte=month, on__lte=self.day)
        for more in (since.by_account(), self.half_done.accounts):
            for account, nano in more.items():
                stands[account] += nano
        return {account: nano for account, nano in stands.items() if nano}

    @property
    def totals(self) -> Totals:
        """Since the book began, in nano."""
        return totals_of(self.accounts)

    def making(self) -> Mapping[str, int]:
        """The making cost by kind of work: labour, energy, overhead."""
        return {
            name: -nano for name, nano in by_name(self.accounts, MAKING_COST).items()
        }

    def given(self) -> Mapping[str, int]:
        """What was given, by its reason; they add up to that of the totals."""
        return by_name(self.accounts, GIVEN)

    def causes(self) -> Mapping[str, int]:
        """The abnormal losses by name, "" where nobody gave one; they add up, too."""
        return by_name(self.accounts, ABNORMAL)

    def spoilt(self) -> list[Spoilt]:
        """The same batch by batch."""
        anew = self.half_done
        rows = [
            row
            for row in KeptFlow.objects.filter(into__in=CAUSES, on__lte=self.day)
            if row.lot_id not in anew.lots and row.batch_id not in anew.batches
        ]
        rows += [row for keep in anew.lots.values() for row in keep.steps]
        rows += [row for keep in anew.batches.values() for row in keep.steps]
        sums: Counter[tuple[int, int]] = Counter()
        for row in rows:
            if parent(row.into) == ABNORMAL:
                sums[row.lot_id or 0, row.batch_id or 0] += row.value
        return _spoilt(sums, anew)

    @cached_property
    def missing(self) -> frozenset[str]:
        """Lots whose price is not known."""
        unknown = KeptLot.objects.order_by().filter(unknown__lte=self.day)
        return frozenset(unknown.values_list("lot__code", flat=True))

    def lots(self) -> list[ValuedLot]:
        """Every lot of which something was left, in the order of their keys."""
        anew = {pk: keep.row for pk, keep in self.half_done.lots.items()}
        there = KeptLot.objects.order_by().filter(began__lte=self.day)
        there = there.filter(Q(ended=None) | Q(ended__gt=self.day))
        kept = {row.pk: row for row in there if row.pk not in anew}
        went_on = [row for row in kept.values() if row.last and row.last > self.day]
        later = _later(went_on, self.day)
        lots = Lot.objects.filter(pk__in=[*kept, *anew])
        codes = dict(lots.values_list("pk", "code"))
        found = []
        for pk, row in sorted({**kept, **anew}.items()):
            amount, parts = _at(row, later.get(pk))
            trial = _trial(row, self.day)
            if amount:
                found.append(
                    ValuedLot(
                        code=codes[pk],
                        amount=amount,
                        parts={} if trial else parts,
                        known=not row.missing,
                        trial=trial,
                    )
                )
        return found

    def batches(self) -> list[ValuedBatch]:
        """Every batch that held something and had made no lot, in the order of keys."""
        anew = {pk: keep.row for pk, keep in self.half_done.batches.items()}
        there = KeptBatch.objects.order_by().filter(first__lte=self.day)
        rows = there.filter(Q(ended=None) | Q(ended__gt=self.day)).in_bulk() | anew
        codes = dict(Batch.objects.filter(pk__in=rows).values_list("pk", "code"))
        return [
            ValuedBatch(
                code=codes[pk],
                parts=row.inside,
                known=not row.missing,
                trial=_trial(row, self.day),
                lost=row.lost is not None and row.lost <= self.day,
            )
            for pk, row in sorted(rows.items())
            if row.inside and (row.ended is None or row.ended > self.day)
        ]

    def flows(self, after: date | None = None) -> list[ValuedFlow]:
        """What left lots, or came back, later than ``after``, in the book's order."""
        anew = self.half_done.lots
        rows = KeptFlow.objects.filter(movement__isnull=False, on__lte=self.day)
        if after is not None:
            rows = rows.filter(on__gt=after)
        flows = list(_told(rows))
        lots = KeptLot.objects.defer("total", "start", "abnormal", "left")
        held = lots.in_bulk({row.lot_id for row in flows})
        held |= {pk: keep.row for pk, keep in anew.items()}
        found = []
        for row in flows:
            lot = held[row.lot_id]
            own = anew[row.lot_id].flows if row.lot_id in anew else {}
            found.append(
                ValuedFlow(
                    movement=row.movement_id,
                    lot=row.lot_code,
                    on=row.on,
                    kind=row.movement.kind,
                    amount=row.movement.amount,
                    parts=own[row.movement_id].parts if own else row.parts,
                    why=row.because,
                    batch=row.batch_code,
                    sale_line=row.movement.sale_line_id,
                    known=not lot.missing,
                    trial=_trial(lot, self.day),
                )
            )
        return found


def on_day(day: date) -> OnDay:
    """The book as the last entry of that day leaves it, at today's values."""
    return OnDay(day)


def _spoilt(sums: Mapping[tuple[int, int], int], anew: Straddling) -> list[Spoilt]:
    """By what is kept of each lot, or of each batch that was lost whole."""
    made = KeptLot.objects.in_bulk({lot for lot, _ in sums if lot})
    made |= {pk: keep.row for pk, keep in anew.lots.items()}
    whole = KeptBatch.objects.in_bulk({batch for lot, batch in sums if not lot})
    whole |= {pk: keep.row for pk, keep in anew.batches.items()}
    lots = Lot.objects.select_related("batch").in_bulk({lot for lot, _ in sums if lot})
    batches = Batch.objects.in_bulk({batch for lot, batch in sums if not lot})
    return [
        Spoilt(lots[lot].batch.code, lots[lot].code, nano, not made[lot].missing)
        if lot
        else Spoilt(batches[batch].code, None, nano, not whole[batch].missing)
        for (lot, batch), nano in sorted(
            sums.items(), key=lambda one: (not one[0][0], one)
        )
        if nano
    ]


def _trial(row: KeptLot | KeptBatch, day: date) -> bool:
    return row.tried and (row.accepted is None or day < row.accepted)


def _told(rows: QuerySet[KeptFlow]) -> QuerySet[Any]:
    """With what they are of, in the book's order."""
    # It hangs on the first entry of its line.
    why = Coalesce(
        F("movement__root__given__why"),
        F("movement__given__why"),
        Value("", CharField()),
    )
    place = Coalesce("movement__rank", F("movement_id"), output_field=BigIntegerField())
    return (
        rows.select_related("movement")
        .annotate(because=why, lot_code=F("lot__code"), batch_code=F("batch__code"))
        .order_by("on", place, "movement_id")
    )


Later = tuple[Decimal, Counter[str]]


def _later(rows: list[KeptLot], day: date) -> dict[int, Later]:
    """What went out of these lots after that day: how much, and its parts."""
    lots = [row.pk for row in rows]
    if not lots:
        return {}
    parts: dict[int, Counter[str]] = {pk: Counter() for pk in lots}
    flows = KeptFlow.objects.filter(lot__in=lots, movement__isnull=False, on__gt=day)
    for pk, more in flows.values_list("lot_id", "parts"):
        for name, nano in more.items():
            parts[pk][name] += nano
    moved = Movement.objects.standing().filter(lot__in=lots, on__gt=day).order_by()
    moved = moved.exclude(kind=Movement.Kind.MOVED).values("lot")
    sums = dict(moved.annotate(all=Sum("amount")).values_list("lot", "all"))
    return {pk: (sums.get(pk, Decimal(0)), parts[pk]) for pk in lots}


def _at(row: KeptLot, later: Later | None) -> tuple[Decimal, Parts]:
    """What was left before what went out later: an outflow is taken off what is left,
    so that it is added to it again."""
    if later is None:
        return row.amount_left, row.left
    moved, went = later
    parts = Counter(row.left)
    parts.update(went)
    return row.amount_left - moved, {name: nano for name, nano in parts.items() if nano}
