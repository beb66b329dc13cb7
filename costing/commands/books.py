"""``books``: what is held on a day, what came, and where the rest went."""

from datetime import date
from typing import Any

from costing.domain.books import Books, Held
from costing.domain.books_text import told
from costing.domain.figures import money_of
from costing.reads.books import books_between, books_on
from production.pages.commands import HouseCommand, as_json, read_day
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused


class Command(HouseCommand):
    help = "The books of a day, since they began, or of a period."
    example = """\
The demo's books through the end of May, and those of the month alone:

  python manage.py demo books --on 2026-05-31
  python manage.py demo books --from 2026-05-01 --to 2026-05-31 --json

Figures are strings with nine places, and the two sides agree to the last of them:

  opening + purchases + making_cost = stock + work_in_progress + cost_of_goods_sold
      + the sum of losses + drawings + late_bills.sold + late_bills.lost

Since the books began, opening is the opening stock that was entered; of a period it is
what was held the day before (held_before) and the opening stock entered in it. On a
day means all entries dated through it at what is known now; a closed month counts as
its statement froze it. late_bills is what was learnt of closed months since, in the
first open period after them: it is inside purchases (or opening, or making_cost), and
its stock part inside stock and work_in_progress. abnormal_by_cause splits
losses.abnormal; own use is in drawings where a sole trader owns the workshop, else in
losses.own_use. stock_by_kind and lots split stock.

--method lots is what was really taken (specific identification, IAS 2.23); fifo and
average draw each item's issues again (2.25, 2.27); card goes by the formula that stands
on the card of each kind of item. There is no LIFO in IAS 2.25.

Where a price is not known the figures are null, "missing" names the lots, "asks" says
what is missing of them, and "known" holds the part of each figure that is known.
revenue is null while a line of a sale has no price; "unpriced" names the lines.
"""

    def add_arguments(self, parser):
        parser.add_argument("--on", metavar="DATE", help="since the books began")
        parser.add_argument("--from", metavar="DATE", dest="since", help="first day")
        parser.add_argument("--to", metavar="DATE", help="last day; today, if not said")
        parser.add_argument(
            "--method", default="lots", help="lots, fifo, average or card"
        )
        parser.add_argument("--json", action="store_true", help="print JSON")

    def answer(self, *, on, since, to, method, json, **options):
        books = _asked(on, since, to, method)
        report = report_of(books)
        return as_json(report) if json else _told(report)


def _asked(on: str | None, since: str | None, to: str | None, method: Any) -> Books:
    if on and (since or to):
        raise Refused("Ask for one day (--on) or for a period (--from and --to).")
    if since or to:
        first = read_day(since) if since else None
        return books_between(first, read_day(to), method)
    return books_on(read_day(on), method)


def report_of(books: Books) -> dict[str, Any]:
    """The report as it is printed, with its figures as text."""
    figures = told(books.figures)
    report: dict[str, Any] = {
        "method": books.method,
        "currency": books.currency,
        "from": None if books.after is None else _first(books.after),
        "to": books.through.isoformat(),
        "closed_through": books.frozen.isoformat() if books.frozen else None,
        **(figures if books.known else _unknown(figures)),
        "held_before": money_of(books.held_before) if books.known else None,
    }
    report["revenue"] = None if books.revenue is None else figures["revenue"]
    report["margin"] = None if books.margin is None else money_of(books.margin)
    report["stock_by_kind"] = {
        kind: None if nano is None else money_of(nano)
        for kind, nano in books.by_kind().items()
    }
    report["lots"] = [_row(row) for row in books.stock]
    report["missing"] = list(books.missing)
    if books.asks:
        report["asks"] = list(books.asks)
    if books.unpriced:
        report["unpriced"] = list(books.unpriced)
    if books.asks or books.unpriced:
        report["known"] = figures
    return report


def _first(after: date) -> str:
    return date.fromordinal(after.toordinal() + 1).isoformat()


def _unknown(figures: Any) -> Any:
    """The same names without a figure."""
    return {
        name: dict.fromkeys(figure) if isinstance(figure, dict) else None
        for name, figure in figures.items()
    }


def _row(row: Held) -> dict[str, str | None]:
    return {
        "lot": row.lot or None,
        "item": row.item,
        "kind": row.kind,
        "amount": plain(row.amount),
        "unit": row.unit,
        "value": None if row.value is None else money_of(row.value),
    }


def _told(report: dict[str, Any]) -> str:
    """The same as a person reads it."""
    days = f"since {report['from']}" if report["from"] else "since they began"
    lines = [
        f"Books through {report['to']}, {days}, in {report['currency']}, "
        f"by {report['method']}"
    ]
    figures = report.get("known", report)
    for name in told_names(figures):
        figure = figures[name]
        if isinstance(figure, dict):
            lines.append(f"{_words(name)}")
            lines += [f"  {one:<26}{cost:>20}" for one, cost in figure.items()]
        else:
            lines.append(f"{_words(name):<28}{figure:>20}")
    lines += [f"Only what is known; {says}" for says in report.get("asks", ())]
    if "unpriced" in report:
        names = ", ".join(report["unpriced"])
        lines.append(f"Revenue is only a part: these have no price: {names}.")
    return "\n".join(lines)


def told_names(figures: dict[str, Any]) -> list[str]:
    """The names of the figures, without what lists lots or says how it was asked."""
    order = (
        *("opening", "purchases", "making_cost", "stock", "work_in_progress"),
        *("revenue", "cost_of_goods_sold", "losses", "abnormal_by_cause", "drawings"),
        "late_bills",
    )
    return [name for name in order if figures.get(name) not in ({}, None)]


def _words(name: str) -> str:
    return name.replace("_", " ")
