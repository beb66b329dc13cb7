"""What a lot cost, opened like a drawer."""

from decimal import Decimal

from django.shortcuts import get_object_or_404, render

from costing.domain.components import components
from costing.domain.figures import unit_parts, whole_nano
from costing.domain.rollup import NANO
from costing.reads import book_behind
from costing.reads.losses import losses_of
from costing.reads.owners_time import owners_time
from production.buying.reads.bills import why_unknown
from production.models import Batch, Lot


def lot_cost(request, code):
    lot = get_object_or_404(Lot.objects.select_related("item", "batch"), code=code)
    book = book_behind(lot)
    value = book.valuation.lots[lot.code]
    missing = why_unknown(value.missing)
    page = {
        "lot": lot,
        "missing": missing,
        "waits_for_shares": not all(one.of_price for one in missing),
        "nothing": not value.start,
        "trial": value.trial,
        "losses": losses_of(lot.batch, value) if lot.batch_id else None,
        "owners_time": _more(owners_time(book, lot.code), value.unit_cost),
        "abnormal": round(Decimal(sum(value.abnormal.values())) / NANO, 4),
    }
    if value.unit_cost is not None:
        parts = unit_parts(value.rate_parts, value.unit_cost)
        page |= {
            "cost": round(Decimal(sum(parts.values())) / NANO, 6),
            "components": components(parts),
            "drawers": _drawers(book.sources(lot.code)),
            "below_zero": [name for name in sorted(parts) if parts[name] < 0],
        }
    return render(request, "costing/lot_cost.html", page)


def _more(time, cost):
    """What one costs with an owner's unpaid time, and that time alone."""
    if not time:
        return None
    figures = {"time": time, "with_it": None if cost is None else cost + time}
    return {
        name: None if figure is None else round(Decimal(whole_nano(figure)) / NANO, 6)
        for name, figure in figures.items()
    }


def _drawers(sources):
    """Each source beside what it is: an invoice line, or a batch's hours."""
    lots = {
        lot.code: lot
        for lot in Lot.objects.filter(
            code__in=[row.code for row in sources if row.kind == "lot"]
        ).select_related("item", "line__purchase__supplier")
    }
    batches = {
        batch.code: batch
        for batch in Batch.objects.filter(
            code__in=[row.code for row in sources if row.kind == "batch"]
        )
    }
    return [
        {
            "lot": lots.get(row.code) if row.kind == "lot" else None,
            "batch": batches.get(row.code) if row.kind == "batch" else None,
            "component": row.component,
            "cost": round(Decimal(row.nano) / NANO, 6),
        }
        for row in sources
    ]
