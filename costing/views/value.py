"""What the whole book is worth."""

from decimal import Decimal

from django.shortcuts import render
from django_tables2 import RequestConfig

from costing.domain.rollup import NANO
from costing.models import KeptLot
from costing.reads import in_work
from costing.reads.kept import lost, missing, totals
from costing.tables.value import Values
from production.buying.reads.bills import why_unknown
from production.models import LostBatch, Lot
from production.pages.views.pages import paged
from production.pages.views.sheets import taken_as_sheet


def book_value(request):
    on_hand = Lot.objects.select_related("item").in_stock().order_by("item__name", "pk")
    kept = KeptLot.objects.filter(amount_left__gt=0).in_bulk()
    rows = []
    for lot in on_hand:
        value = kept[lot.pk]
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
                for row in in_work()
            ],
            "totals": _totals(totals()),
            "missing": why_unknown(missing()),
            "lost": _lost(lost()),
        },
    )


def _money(nano):
    return round(Decimal(nano) / NANO, 4)


def _lost(kept):
    """Batches that were lost whole, each with what went with it."""
    rows = LostBatch.objects.filter(batch__in=kept)
    return [
        {
            "row": row,
            "cost": round(Decimal(sum(kept[row.batch_id].inside.values())) / NANO, 4),
            "missing": kept[row.batch_id].missing,
        }
        for row in rows.select_related("batch").order_by("on", "pk")
    ]


def _currency(cost):
    return Decimal(cost.numerator) / Decimal(cost.denominator)


def _totals(found):
    def of(name):
        return _money(getattr(found, name))

    came = ("purchases", "opening", "making_cost")
    went = ["stock", "work_in_progress", "cost_of_goods_sold", "losses"]
    went += ["sent_back"] if found.sent_back else []
    return {
        "came": [(name.replace("_", " "), of(name)) for name in came],
        "went": [(name.replace("_", " "), of(name)) for name in went],
        "development": of("development"),
        "abnormal": of("abnormal"),
        "sum": sum((of(name) for name in came), Decimal(0)),
    }
