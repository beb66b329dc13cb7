"""The book of a day by the accountant's formulas: the same entries, drawn by item."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from costing.domain.books import Method
from costing.domain.redraw import POOL, Formula, Redrawn, redraw
from costing.domain.rollup import Totals
from costing.models import BooksTerms
from costing.reads.book import book_at
from costing.reads.on_date import (
    OnDay,
    Spoilt,
    ValuedFlow,
    ValuedLot,
    given_by_reason,
    making_of,
    spoilt_in,
)
from production.models import Lot, Movement


@dataclass(frozen=True, slots=True)
class RedrawnDay:
    """It answers as ``OnDay`` does. A lot here is a layer, or a pool: see ``lots``."""

    actual: OnDay
    redrawn: Redrawn

    @property
    def day(self) -> date:
        return self.actual.day

    @property
    def totals(self) -> Totals:
        """Since the book began, in nano."""
        return self.redrawn.valuation.totals

    @property
    def missing(self) -> frozenset[str]:
        """Lots whose price is not known."""
        return self.actual.missing

    def making(self) -> Mapping[str, int]:
        return making_of(self.redrawn.batches)

    def spoilt(self) -> list[Spoilt]:
        drawn = self.redrawn
        return spoilt_in(drawn.lots, drawn.batches, drawn.valuation)

    def given(self) -> Mapping[str, int]:
        return given_by_reason(self.flows())

    def lots(self) -> list[ValuedLot]:
        """What is left, layer by layer under the code of the lot that it came as.

        A pool that several lots were poured into has the code of none: it begins with
        ``POOL``, and ``item_of`` says what it is of.
        """
        values = self.redrawn.valuation.lots
        return [
            ValuedLot(
                code=node.code,
                amount=values[node.code].amount_left,
                parts=values[node.code].stock,
                known=not values[node.code].missing,
                trial=values[node.code].trial,
            )
            for node in self.redrawn.lots
            if values[node.code].amount_left
        ]

    def flows(self, after: date | None = None) -> list[ValuedFlow]:
        """The entries of the book, each with its value as it was drawn here."""
        parts: dict[int, Counter[str]] = {}
        unknown: set[int] = set()
        drawn = self.redrawn
        for value in drawn.valuation.lots.values():
            for here, taken in value.taken.items():
                if entry := drawn.of.get(here):
                    parts.setdefault(entry, Counter()).update(taken)
                    if value.missing:
                        unknown.add(entry)
        return [
            replace(
                flow,
                parts=dict(parts.get(flow.movement, {})),
                known=flow.movement not in unknown,
            )
            for flow in self.actual.flows(after)
        ]


def redrawn_on(day: date, method: Method) -> RedrawnDay:
    """The book of a day drawn again: all by one formula, or each kind by its own."""
    book = book_at(day)
    pools, kinds = _pools(frozenset(one.code for one in book.batches if one.trial))
    terms = BooksTerms.objects.first() or BooksTerms()

    def formula_of(pool: str) -> Formula:
        if method == "card":
            return terms.formula_of(kinds[pool])  # type: ignore[return-value]
        return "lots" if method == "lots" else method

    found = redraw(book.lots, book.batches, _events(day), pools, formula_of)
    return RedrawnDay(OnDay(day, book), found)


def _pools(trials: frozenset[str]) -> tuple[dict[str, str], dict[str, str]]:
    """The pool of each lot, an item; a trial that nobody accepted has its own."""
    pools, kinds = {}, {}
    rows = Lot.objects.values_list("code", "item_id", "item__kind", "batch__code")
    for code, item, kind, batch in rows:
        pool = f"trial {code}" if batch in trials else f"item {item}"
        pools[code], kinds[pool] = pool, kind
    return pools, kinds


def _events(day: date) -> list[tuple[str, int | None]]:
    """Each entry in the book's order, as the formulas draw it."""
    rows = Movement.objects.standing().filter(on__lte=day).in_book_order()
    return [
        (lot, None if kind in Movement.STARTS else pk)
        for pk, lot, kind in rows.values_list("pk", "lot__code", "kind")
    ]


def item_of(drawn: Redrawn) -> dict[str, str]:
    """The lot by whose item each pool goes: the first that was poured into it."""
    into: dict[str, str] = {}
    for node in drawn.lots:
        for flow in node.flows:
            if flow.batch and flow.batch.startswith(POOL):
                into.setdefault(flow.batch, node.code)
    found = {}
    for pool, code in into.items():
        while code.startswith(POOL):
            code = into[code]
        found[pool] = code
    return found
