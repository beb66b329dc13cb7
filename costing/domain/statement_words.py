"""A statement as a person reads it: the same paragraphs on page, paper and console."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from costing.domain.rollup import NANO
from costing.domain.statement import Statement
from production.quantities.domain.numbers import grouped

CENT = Decimal("0.01")
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
    nano: int
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
    changes = statement.changes
    start = [_line(name, nano) for name, nano in statement.start.items()]
    came = [_line(name, nano) for name, nano in statement.came.items()]
    ends = [_line(name, nano) for name, nano in statement.end.items()]
    lost = [_line(name, nano) for name, nano in statement.lost.items() if nano]
    first = f"At the end of {statement.after}" if statement.after else "At the start"
    whole = sum(line.nano for line in (*start, *came)) + changes.came
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


def _line(name: str, nano: int) -> Line:
    return Line(WORDS.get(name, name.replace("_", " ")), nano)


def _sum(words: str, lines: list[Line]) -> Line:
    return Line(words, sum(line.nano for line in lines), sum=True)
