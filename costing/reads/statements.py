"""Statements of value: those that were frozen, and the one of the days since."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef

from costing.domain.books import Method, between
from costing.domain.rollup import Valuation
from costing.domain.statement import Row, Statement, amounts_of, period, read
from costing.domain.statement_run import run_of
from costing.models.statements import Statement as Frozen
from costing.reads.book import Book, book_at
from costing.reads.books import to_date
from costing.reads.figures import terms
from production.buying.reads.bills import in_sentences, why_unknown
from production.models import Batch, Closing, Lot, Workshop
from production.quantities.domain.numbers import plain


@dataclass(frozen=True, slots=True)
class Kept:
    """A statement as it was frozen; the text is what prints again."""

    row: Frozen
    statement: Statement


def kept(through: date) -> Kept | None:
    """The frozen statement of the closing through that day, if there is one."""
    row = Frozen.objects.select_related("closing", "deed__by").filter(
        closing__through=through
    )
    found = row.first()
    return None if found is None else Kept(found, read(found.text))


def run(first: date, last: date) -> Kept | None:
    """The months from one closing through another, as one statement; None where one of
    the two days was not closed with a statement."""
    rows = Frozen.objects.filter(
        closing__through__gte=first, closing__through__lte=last
    ).order_by("closing__through")
    months = [read(text) for text in rows.values_list("text", flat=True)]
    if not months or (months[0].through, months[-1].through) != (first, last):
        return None
    row = rows.select_related("closing", "deed__by").last()
    return None if row is None else Kept(row, run_of(months))


def years() -> list[tuple[int, date, date]]:
    """Each year of which two months or more were closed: its first and last one."""
    rows = Frozen.objects.order_by("closing__through")
    days = list(rows.values_list("closing__through", flat=True))
    found: dict[int, list[date]] = {}
    for day in days:
        found.setdefault(day.year, []).append(day)
    return [(year, of[0], of[-1]) for year, of in found.items() if len(of) > 1][::-1]


def closings() -> list[Closing]:
    """Every closing, the latest first; ``kept``: whether its statement is there."""
    there = Frozen.objects.filter(closing=OuterRef("pk"))
    rows = Closing.objects.select_related("deed__by").annotate(kept=Exists(there))
    return list(rows.order_by("-through"))


def statement_of(through: date, methods: Sequence[Method] = ("lots",)) -> Statement:
    """The statement through that day, from the last closing before it, as known now.

    ``methods`` are those by which the books to date are written into it.

    It starts from what that closing froze. One that froze nothing, of an earlier book,
    starts it from what its last day shows now.
    """
    closings = Closing.objects.filter(through__lt=through).order_by("-through")
    before = closings.first()
    rows = Frozen.objects.filter(closing=before) if before else Frozen.objects.none()
    frozen = rows.first()
    book = book_at(through)
    now = book.valuation
    earlier = amounts_of(book_at(before.through).valuation.totals) if before else None
    workshop = Workshop.objects.first()
    books = {method: to_date(through, method) for method in methods}
    month = books["lots"].figures
    if before:
        month = between(month, to_date(before.through, "lots").figures)
    return Statement(
        workshop=workshop.name if workshop else "",
        currency=workshop.currency if workshop else "USD",
        paper=workshop.paper if workshop else "A4",
        after=before.through if before else None,
        through=through,
        stock=_stock(now),
        in_progress=_in_progress(book),
        missing=tuple(in_sentences(why_unknown(now.missing))),
        missing_lots=tuple(sorted(now.missing)),
        unpriced=tuple((one, on.isoformat()) for one, on in books["lots"].unpriced),
        books=month,
        books_to_date={method: one.figures for method, one in books.items()},
        **period(
            amounts_of(now.totals),
            earlier,
            dict(read(frozen.text).to_date) if frozen else None,
        ),
    )


def kept_methods() -> tuple[Method, ...]:
    """By what a closing freezes the books: the lots, and the card where it differs."""
    return ("lots",) if terms().by_lots else ("lots", "card")


def _stock(valuation: Valuation) -> tuple[Row, ...]:
    """What was there at the end, with its value, as a count of that day would list."""
    rows = []
    for lot in Lot.objects.select_related("item").order_by("item__name", "pk"):
        held = valuation.lots[lot.code]
        if held.amount_left:
            amount, value = plain(held.amount_left), _known(held.stock, held.missing)
            rows.append(Row(lot.code, lot.item.name, amount, lot.item.unit, value))
    return tuple(rows)


def _in_progress(book: Book) -> tuple[Row, ...]:
    """What open batches held; a trial is an expense until it is accepted."""
    trials = {node.code for node in book.batches if node.trial}
    inside = {
        code: one
        for code, one in book.valuation.in_progress.items()
        if code not in trials
    }
    held = {code: one for code, one in inside.items() if any(one.inside.values())}
    return tuple(
        Row(
            code=batch.code,
            name=batch.get_stage_display(),
            amount="",
            unit="",
            value=_known(held[batch.code].inside, held[batch.code].missing),
        )
        for batch in Batch.objects.filter(code__in=list(held)).order_by("pk")
    )


def _known(parts: Mapping[str, int], missing: frozenset[str]) -> int | None:
    return None if missing else sum(parts.values())


def open_statement(today: date) -> Statement | None:
    """Of the days since the last closing, through today; None where it is closed."""
    closing = Closing.objects.order_by("-through").first()
    if closing and closing.through >= today:
        return None
    return statement_of(today)


def told_with_closings() -> dict[int, dict[str, str]]:
    """The frozen statements for the history file, by the key of their closing."""
    rows = Frozen.objects.values_list("closing_id", "text")
    return {closing: {"statement": text} for closing, text in rows}
