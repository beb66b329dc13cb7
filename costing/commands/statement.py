"""``statement``: what stock and work were worth at the end of a month, and why."""

from datetime import date

from costing.domain.statement import Statement, write
from costing.domain.statement_words import paragraphs
from costing.reads.statements import kept, open_statement
from production.pages.commands import HouseCommand
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today


class Command(HouseCommand):
    help = "Print the statement of a closed month again, or that of the days since."
    example = """\
  python manage.py statement 2026-01-31 --json

The statement of a closed month is printed as it was kept, byte by byte. Without a day
it is that of the days since the last closing, as known now. Value at the start, what
came and what came to closed months add up to the value at the end, what was sold and
lost, and what of closed months was.
"""

    def add_arguments(self, parser):
        parser.add_argument(
            "through", nargs="?", default="", help="the last day that was closed"
        )
        parser.add_argument("--json", action="store_true", help="print JSON")

    def answer(self, *, through, json, **options):
        statement, text = _frozen(through) if through else _open()
        if json:
            return text.rstrip("\n")
        return _told(statement, closed=bool(through))


def _frozen(through: str) -> tuple[Statement, str]:
    try:
        found = kept(date.fromisoformat(through))
    except ValueError:
        raise Refused(f"{through} is not a day. Write it like 2026-01-31.") from None
    if found is None:
        raise Refused(f"No statement was kept of {through}: no month was closed then.")
    return found.statement, found.row.text


def _open() -> tuple[Statement, str]:
    statement = open_statement(today())
    if statement is None:
        raise Refused("All days through today are closed: name the day of a closing.")
    return statement, write(statement)


def _told(statement: Statement, *, closed: bool) -> str:
    says = "closed" if closed else "not closed yet"
    lines = [f"Statement of value through {statement.through}, {says}"]
    for part in paragraphs(statement):
        lines += ["", part.title]
        lines += [f"  {one.words:<44}{one.figure:>20}" for one in part.lines]
    lines += ["", *statement.missing]
    return "\n".join(lines).rstrip("\n")
