"""The book on a day: what was held then, what had gone out, and what it was worth.

The one way in for statements, books and pages that show a figure with a date. On a day
means the roll-up of the entries dated up to it, by all that is known now; where a batch
straddles the day, it and what came of it are worked anew.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.domain.rollup import BatchNode, LotNode, Parts, Totals, Valuation
from costing.reads.book import Book, book_at
from production.models import Given, Movement


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
class Spoilt:
    """What a batch lost in the making as an expense, in nano; ``lot`` None where it was
    lost whole. ``known`` is False while a price behind it is missing."""

    batch: str
    lot: str | None
    nano: int
    known: bool


@dataclass(frozen=True, slots=True)
class OnDay:
    """The whole book as the last entry of ``day`` leaves it."""

    day: date
    book: Book

    @property
    def totals(self) -> Totals:
        """Since the book began, in nano."""
        return self.book.valuation.totals

    @property
    def missing(self) -> frozenset[str]:
        """Lots whose price is not known."""
        return self.book.valuation.missing

    def making(self) -> Mapping[str, int]:
        """The making cost by kind of work: labour, energy, overhead."""
        return making_of(self.book.batches)

    def spoilt(self) -> list[Spoilt]:
        """Each abnormal loss of a batch; they add up to that of the totals."""
        return spoilt_in(self.book.lots, self.book.batches, self.book.valuation)

    def given(self) -> Mapping[str, int]:
        """What was given, by its reason; they add up to that of the totals."""
        return given_by_reason(self.flows())

    def lots(self) -> list[ValuedLot]:
        """Every lot of which something was left, in the order of their keys."""
        values = self.book.valuation.lots
        return [
            ValuedLot(
                code=node.code,
                amount=values[node.code].amount_left,
                parts=values[node.code].stock,
                known=not values[node.code].missing,
                trial=values[node.code].trial,
            )
            for node in self.book.lots
            if values[node.code].amount_left
        ]

    def flows(self, after: date | None = None) -> list[ValuedFlow]:
        """What left lots, or came back, later than ``after``, in the book's order."""
        valued = {
            pk: (node.code, parts)
            for node in self.book.lots
            for pk, parts in self.book.valuation.lots[node.code].taken.items()
        }
        rows = Movement.objects.standing().filter(on__lte=self.day)
        if after is not None:
            rows = rows.filter(on__gt=after)
        found = []
        whys = dict(Given.objects.values_list("movement_id", "why"))
        for row in rows.select_related("batch").in_book_order():
            if row.pk not in valued:
                continue
            code, parts = valued[row.pk]
            held = self.book.valuation.lots[code]
            found.append(
                ValuedFlow(
                    movement=row.pk,
                    lot=code,
                    on=row.on,
                    kind=row.kind,
                    amount=row.amount,
                    parts=parts,
                    why=whys.get(row.root_id or row.pk, ""),
                    batch=row.batch.code if row.batch else None,
                    sale_line=row.sale_line_id,
                    known=not held.missing,
                    trial=held.trial,
                )
            )
        return found


def on_day(day: date) -> OnDay:
    """The book as the last entry of that day leaves it, at today's values."""
    return OnDay(day, book_at(day))


def making_of(batches: list[BatchNode]) -> dict[str, int]:
    """What the work on batches cost, by kind."""
    found: Counter[str] = Counter()
    for batch in batches:
        found.update(batch.work)
    return dict(found)


def spoilt_in(
    lots: list[LotNode], batches: list[BatchNode], valuation: Valuation
) -> list[Spoilt]:
    """What batches lost in the making, without what is development."""
    found = []
    for node in lots:
        value = valuation.lots[node.code]
        if value.abnormal and not value.trial and node.batch is not None:
            nano = sum(value.abnormal.values())
            found.append(Spoilt(node.batch, node.code, nano, not value.missing))
    trials = {batch.code for batch in batches if batch.trial}
    found += [
        Spoilt(code, None, sum(one.inside.values()), not one.missing)
        for code, one in valuation.lost.items()
        if code not in trials
    ]
    return found


def given_by_reason(flows: list[ValuedFlow]) -> dict[str, int]:
    """By why it was given; what a trial gave is development."""
    found: Counter[str] = Counter()
    for flow in flows:
        if flow.kind == Movement.Kind.GIVEN and not flow.trial:
            found[flow.why] += sum(flow.parts.values())
    return dict(found)
