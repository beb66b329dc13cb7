"""What the whole book is worth."""

from decimal import Decimal

from django.shortcuts import render
from django_tables2 import RequestConfig

from costing.domain.rollup import NANO
from costing.reads import in_work, whole_book
from costing.tables.value import Values
from production.buying.reads.bills import why_unknown
from production.models import LostBatch, Lot
from production.pages.views.pages import paged
from production.pages.views.sheets import taken_as_sheet


def book_value(request):
    book = whole_book()
    on_hand = Lot.objects.select_related("item").in_stock().order_by("item__name", "pk")
    rows = []
    for lot in on_hand:
        value = book.valuation.lots[lot.code]
        known = value.unit_cost is not None
        rows.append(
            {
                "lot": lot,
                "item": lot.item.name,
                "on_hand": lot.on_hand,
                "unit_cost": _currency(value.unit_cost) if known else None,
                "value": Decimal(sum(value.stock.values())) / NANO if known else None,
                "trial": value.trial,
            }
        )
    table = Values(rows)
    if request.GET.get("sheet") == "xlsx":
        RequestConfig(request, paginate=False).configure(table)
        return taken_as_sheet(request, table, "Value")
    paged(request, table, 50)
    return render(
        request,
        "costing/book_value.html",
        {
            "table": table,
            "work": [
                {"of": row, "value": None if row.nano is None else _money(row.nano)}
                for row in in_work(book)
            ],
            "totals": _totals(book.valuation.totals),
            "missing": why_unknown(book.valuation.missing),
            "lost": _lost(book.valuation.lost),
        },
    )


def _money(nano):
    return round(Decimal(nano) / NANO, 4)


def _lost(lost):
    """Batches that were lost whole, each with what went with it."""
    rows = LostBatch.objects.filter(batch__code__in=lost)
    return [
        {
            "row": row,
            "cost": round(Decimal(sum(lost[row.batch.code].inside.values())) / NANO, 4),
            "missing": lost[row.batch.code].missing,
        }
        for row in rows.select_related("batch").order_by("on", "pk")
    ]


def _currency(cost):
    return Decimal(cost.numerator) / Decimal(cost.denominator)


def _totals(totals):
    def of(name):
        return _money(getattr(totals, name))

    came = ("purchases", "opening", "making_cost")
    went = ["stock", "work_in_progress", "cost_of_goods_sold", "losses"]
    went += ["sent_back"] if totals.sent_back else []
    return {
        "came": [(name.replace("_", " "), of(name)) for name in came],
        "went": [(name.replace("_", " "), of(name)) for name in went],
        "development": of("development"),
        "abnormal": of("abnormal"),
        "sum": sum((of(name) for name in came), Decimal(0)),
    }
