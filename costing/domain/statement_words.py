"""A statement as a person reads it: the same paragraphs on page, paper and console."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from costing.domain.books import Figures
from costing.domain.rollup import NANO
from costing.domain.statement import Statement
from production.quantities.domain.numbers import grouped

CENT = Decimal("0.01")
# Of a run of months each late bill has its own last day that was closed before.
STOOD = "stood in stock or in open batches on the last day closed before"
WORDS = {
    "stock": "in stock",
    "work_in_progress": "in open batches",
    "purchases": "purchases",
    "opening": "opening stock",
    "making_cost": "work on batches",
    "cost_of_goods_sold": "cost of what was sold",
    "abnormal": "more lost in making than expected",
    "given": "given away",
    "discarded": "discarded",
    "counted": "found missing at a count",
    "development": "trials that nobody accepted",
    "sent_back": "sent back to suppliers",
    "samples": "samples, and what was retained",
    "own_use": "own use",
    "labour": "labour on batches",
    "energy": "energy of batches",
    "overhead": "overhead of batches",
}


def to_the_cent(nano: int | None) -> str:
    """Money to the cent; what is not known says so."""
    if nano is None:
        return "unknown"
    amount = (Decimal(nano) / NANO).quantize(CENT, ROUND_HALF_UP)
    return grouped(amount, places=True)


@dataclass(frozen=True, slots=True)
class Line:
    """Words and a figure in the workshop's money; ``sum`` stands under the others."""

    words: str
    nano: int | None
    sum: bool = False

    @property
    def figure(self) -> str:
        return to_the_cent(self.nano)


@dataclass(frozen=True, slots=True)
class Paragraph:
    title: str
    lines: tuple[Line, ...]


def paragraphs(statement: Statement) -> tuple[Paragraph, ...]:
    """What was there and came; changes to closed months; where it is now.

    Each figure is rounded by itself; the exact ones stand in the file.
    """
    if statement.version > 1:
        return _with_books(statement)
    changes = statement.changes
    start = [_line(name, nano) for name, nano in statement.start.items()]
    came = [_line(name, nano) for name, nano in statement.came.items()]
    ends = [_line(name, nano) for name, nano in statement.end.items()]
    lost = [_line(name, nano) for name, nano in statement.lost.items() if nano]
    first = f"At the end of {statement.after}" if statement.after else "At the start"
    whole = _total(start) + _total(came) + changes.came
    found = [
        Paragraph(first, (*start, _sum("value at the start", start))),
        Paragraph("Came", (*came, _sum("came in all", came))),
    ]
    if changes.came or changes.held or changes.sold or changes.lost:
        found.append(
            Paragraph(
                "Changes to closed months",
                (
                    Line("came to them since", changes.came, sum=True),
                    Line("of it still in stock or in open batches", changes.held),
                    Line("of it sold", changes.sold),
                    Line("of it lost", changes.lost),
                ),
            )
        )
    found.append(
        Paragraph(
            f"At the end of {statement.through}",
            (*ends, _sum("value at the end", ends)),
        )
    )
    went = [Line(WORDS["cost_of_goods_sold"], statement.sold), *lost]
    found.append(Paragraph("Sold and lost", (*went, _sum("sold and lost", went))))
    found.append(
        Paragraph(
            "Both sides",
            (
                Line("value at the start, what came, changes", whole, sum=True),
                Line(
                    "value at the end, sold and lost, of changes sold and lost",
                    whole - statement.difference,
                    sum=True,
                ),
            ),
        )
    )
    return tuple(found)


def _with_books(statement: Statement) -> tuple[Paragraph, ...]:
    """The same since the second version, with the books of the period."""
    books, late = statement.books, statement.books.late
    start = [_line(name, nano) for name, nano in statement.start.items()]
    held = sum(statement.start.values())
    came = [
        _line("purchases", books.purchases),
        _line("opening", books.opening - held),
        *(_line(kind, nano) for kind, nano in books.making.items()),
    ]
    ends = [_line(name, nano) for name, nano in statement.end.items()]
    first = f"At the end of {statement.after}" if statement.after else "At the start"
    found = [
        Paragraph(first, (*start, _sum("value at the start", start))),
        Paragraph("Came", (*came, _sum("came in all", came))),
    ]
    if late != type(late)():
        found.append(
            Paragraph(
                "Changes to closed months: late bills, inside what came",
                (
                    Line(STOOD, late.stock),
                    Line("sold by then", late.sold),
                    Line("lost by then", late.lost),
                ),
            )
        )
    whole = _total(start) + _total(came)
    return (
        *found,
        Paragraph(
            f"At the end of {statement.through}",
            (*ends, _sum("value at the end", ends)),
        ),
        _sales(statement),
        _went(books),
        Paragraph(
            "Both sides",
            (
                Line("value at the start, and what came", whole, sum=True),
                Line(
                    "value at the end, sold and lost, late bills sold and lost",
                    whole - books.difference,
                    sum=True,
                ),
            ),
        ),
    )


def _sales(statement: Statement) -> Paragraph:
    """Revenue is not known while a line of a sale has no price."""
    books = statement.books
    since = statement.after.isoformat() if statement.after else ""
    waits = any(on > since for _, on in statement.unpriced)
    unsure = waits or bool(statement.missing)
    return Paragraph(
        "Sold",
        (
            Line("revenue", None if waits else books.revenue),
            Line(WORDS["cost_of_goods_sold"], books.cost_of_goods_sold),
            Line("margin", None if unsure else books.margin, sum=True),
        ),
    )


def _went(books: Figures) -> Paragraph:
    """Where it went that is not there any more; the causes are inside the losses."""
    late = books.late
    lines = [
        _line("cost_of_goods_sold", books.cost_of_goods_sold),
        *(_line(name, nano) for name, nano in books.losses.items() if nano),
        *([Line("own use, as drawings", books.drawings)] if books.drawings else []),
        *([Line("late bills, sold", late.sold)] if late.sold else []),
        *([Line("late bills, lost", late.lost)] if late.lost else []),
    ]
    causes = [
        Line(f"of what was lost in making: {name}", nano)
        for name, nano in books.causes.items()
        if nano
    ]
    return Paragraph("Sold and lost", (*lines, _sum("sold and lost", lines), *causes))


def _total(lines: list[Line]) -> int:
    return sum(line.nano or 0 for line in lines)


def _line(name: str, nano: int) -> Line:
    return Line(WORDS.get(name, name.replace("_", " ")), nano)


def _sum(words: str, lines: list[Line]) -> Line:
    return Line(words, _total(lines), sum=True)
