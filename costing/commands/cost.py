"""``cost``: what one gram or one bottle of a lot cost, opened down to its sources."""

from costing.domain.figures import money_of, nine, parts_of, unit_parts
from costing.reads import book_behind
from costing.reads.owners_time import owners_time
from production.buying.reads.bills import in_sentences, why_unknown
from production.models import Workshop
from production.pages.commands import HouseCommand, as_json
from production.quantities.domain.refusal import Refused
from production.stock.reads.lookup import find_lot

TRIAL = "this is a trial, not accepted"
LESS_THAN_NOTHING = (
    "less than nothing: a credit is larger than the goods on its invoice; look at the "
    "lines below zero"
)


class Command(HouseCommand):
    help = "Open the unit cost of a lot: by component, and by the lots and work in it."
    example = """\
What a bottle of the first Tideline filling of the demo cost:

  python manage.py demo cost TIDE-8OZ-1 --json

Figures have nine places and add up: parts to unit_cost, and so does by_source. A price
that is not known makes unit_cost null; "missing" names the lots that it waits for and
"asks" says what of: a price, or the weight of a line for its share. "owners_time" is
what an owner's unpaid time would add, in no other figure here. "development"
stands there only for a trial that was not accepted: its cost is an expense, not stock.
"""

    def add_arguments(self, parser):
        parser.add_argument("lot", metavar="LOT")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def answer(self, *, lot, json, **options):
        row = find_lot(lot)
        book = book_behind(row)
        value = book.valuation.lots[row.code]
        if not value.rate_amount:
            raise Refused(f"{row} holds nothing yet: its batch is open, or taken back.")
        cost = value.unit_cost
        report = {
            "lot": row.code,
            "item": row.item.name,
            "unit": row.item.unit,
            "currency": _currency(),
            "unit_cost": nine(cost),
            "parts": None
            if cost is None
            else parts_of(unit_parts(value.rate_parts, cost)),
            "by_source": _sources(book.sources(row.code)) if cost is not None else None,
            "missing": sorted(value.missing),
        }
        if time := owners_time(book, row.code):
            report["owners_time"] = nine(time)
        if value.missing:
            report["asks"] = in_sentences(why_unknown(value.missing))
        if value.trial:
            report["development"] = TRIAL
        return as_json(report) if json else told(report)


def _currency() -> str:
    workshop = Workshop.objects.first()
    return workshop.currency if workshop else "USD"


def _sources(sources) -> list[dict[str, str]]:
    return [
        {
            "kind": source.kind,
            "source": source.code,
            "component": source.component,
            "cost": money_of(source.nano),
        }
        for source in sources
    ]


def told(report: dict) -> str:
    """The same as a person reads it."""
    each = "g" if report["unit"] == "g" else "piece"
    if report["unit_cost"] is None:
        asks = " And ".join(report["asks"])
        return f"{report['lot']} ({report['item']}): not known, since {asks}"
    lines = [
        f"{report['lot']} ({report['item']}): {report['unit_cost']} "
        f"{report['currency']} per {each}"
    ]
    if "development" in report:
        lines.append(f"  development: {report['development']}")
    if report["unit_cost"].startswith("-"):
        lines.append(f"  {LESS_THAN_NOTHING}")
    lines += [f"  {name:<12}{cost:>16}" for name, cost in report["parts"].items()]
    lines += [
        f"    {row['source']:<14}{row['component']:<12}{row['cost']:>16}"
        for row in report["by_source"]
    ]
    if "owners_time" in report:
        time = report["owners_time"]
        lines.append(f"  an owner's unpaid time, in none of these: {time}")
    return "\n".join(lines)
