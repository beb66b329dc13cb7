"""The book on a day: what was held then, what had gone out, and what it was worth.

The one way in for statements, books and pages that show a figure with a date. On a day
means the roll-up of the entries dated up to it, by all that is known now; where a batch
straddles the day, it and what came of it are worked anew.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.domain.rollup import Parts, Totals
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
