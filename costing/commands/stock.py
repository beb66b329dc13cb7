"""``stock``: every lot, what is left of it and what it is worth."""

from costing.domain.figures import money_of, nine, parts_of
from costing.domain.rollup import Totals
from costing.models import KeptLot
from costing.reads import InWork, in_work
from costing.reads.kept import missing as missing_now
from costing.reads.kept import totals as totals_now
from production.buying.reads.bills import in_sentences, why_unknown
from production.models import Lot
from production.pages.commands import HouseCommand, as_json
from production.quantities.domain.numbers import plain

FIGURES = (
    "purchases",
    "opening",
    "making_cost",
    "work_in_progress",
    "stock",
    "cost_of_goods_sold",
    "losses",
    "development",
    "sent_back",
)
# Said only where there is any.
RARE = ("development", "sent_back")


class Command(HouseCommand):
    help = "List every lot with what is on hand, its unit cost and its value."
    example = """\
  python manage.py stock --json

All figures are strings. unit_cost has 9 places; value and parts (the value on hand,
by component) and the totals are exact to 0.000000001, so that purchases + opening +
making_cost = stock + work_in_progress + cost_of_goods_sold + losses, and sent_back,
where suppliers got anything back. Of the losses,
development, where there is any, is what trials took that nobody accepted: such a lot
has the value 0, and "development" beside it says what its remainder cost. Where a
cost is not known the figure is null, "missing" names the lots and "asks" says what is
missing of them; "known" is then the part of each total that is known. "open_batches",
where there are any, says what stands in batches that have made no lot yet; their
values add up to work_in_progress.
"""

    def add_arguments(self, parser):
        parser.add_argument("--json", action="store_true", help="print JSON")

    def answer(self, *, json, **options):
        kept, totals = KeptLot.objects.in_bulk(), totals_now()
        lots = (
            Lot.objects.select_related("item").with_on_hand().with_status()
        ).order_by("pk")
        rows = [_row(lot, kept[lot.pk]) for lot in lots]
        missing = missing_now()
        report = {"lots": rows, "totals": _totals(totals, missing)}
        if work := in_work():
            report["open_batches"] = [_open(row) for row in work]
        if missing:
            report["missing"] = missing
            report["asks"] = in_sentences(why_unknown(missing))
            report["known"] = _totals(totals, [])
        return as_json(report) if json else _told(report)


def _row(lot: Lot, value: KeptLot) -> dict:
    known = not value.missing
    row = {
        "code": lot.code,
        "item": lot.item.name,
        "unit": lot.item.unit,
        "status": lot.status,
        "in": plain(value.started),
        "on_hand": plain(lot.on_hand),
        "unit_cost": nine(value.unit_cost),
        "value": money_of(sum(value.stock.values())) if known else None,
        "parts": parts_of(value.stock) if known else None,
    }
    if value.trial:
        row["development"] = money_of(sum(value.left.values())) if known else None
    return row


def _open(row: InWork) -> dict:
    cost = None if row.nano is None else money_of(row.nano)
    found = {
        "code": row.batch.code,
        "stage": row.batch.stage,
        "started": row.batch.started.isoformat(),
        "value": money_of(0) if row.trial and cost else cost,
        "holds": [
            {
                "lot": held.lot.code,
                "unit": held.lot.item.unit,
                "amount": plain(held.amount),
            }
            for held in row.holds
        ],
    }
    if row.trial:
        found["development"] = cost
    return found


def _totals(totals: Totals, missing: list[str]) -> dict:
    return {
        name: None if missing else money_of(getattr(totals, name))
        for name in FIGURES
        if name not in RARE or getattr(totals, name)
    }


def _words(name: str) -> str:
    """Development is a part of the losses, and said so that nobody adds it twice."""
    return "of it development" if name == "development" else name.replace("_", " ")


def _told(report: dict) -> str:
    lines = [f"{'lot':<14}{'item':<32}{'on hand':>12}{'unit cost':>14}{'value':>14}"]
    lines += [
        f"{row['code']:<14}{row['item'][:30]:<32}{row['on_hand']:>12}"
        f"{row['unit_cost'] or 'unknown':>14}{row['value'] or 'unknown':>14}"
        for row in report["lots"]
    ]
    lines += [
        f"{row['code']:<14}{'open batch, since ' + row['started']:<58}"
        f"{row['value'] or 'unknown':>14}"
        for row in report.get("open_batches", [])
    ]
    lines.append("")
    figures = report.get("known", report["totals"])
    lines += [f"{_words(name):<22}{value:>18}" for name, value in figures.items()]
    if "missing" in report:
        lines += [f"Only what is known; {says}" for says in report["asks"]]
    return "\n".join(lines)
