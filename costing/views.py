"""What a lot cost, opened like a drawer, and what the whole book is worth."""

from datetime import date
from decimal import Decimal

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django_tables2 import RequestConfig

from costing.domain.components import components
from costing.domain.figures import unit_parts
from costing.domain.rollup import NANO
from costing.domain.statement_words import paragraphs, to_the_cent
from costing.files import statement_pdf as printed
from costing.reads import book_behind, in_work, whole_book
from costing.reads.losses import losses_of
from costing.reads.statements import closings, kept, open_statement
from costing.tables import Values
from production.buying.reads.bills import why_unknown
from production.models import Batch, LostBatch, Lot
from production.pages.views.pages import paged
from production.pages.views.sheets import taken_as_sheet
from production.record.reads.clock import today


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
    went = ("stock", "work_in_progress", "cost_of_goods_sold", "losses")
    return {
        "came": [(name.replace("_", " "), of(name)) for name in came],
        "went": [(name.replace("_", " "), of(name)) for name in went],
        "development": of("development"),
        "abnormal": of("abnormal"),
        "sum": sum((of(name) for name in came), Decimal(0)),
    }


def statements(request):
    return render(request, "costing/statements.html", {"rows": closings()})


def statement(request, day):
    found = _kept(day)
    words = {"closed": found.row.closing, "day": day}
    return _statement_page(request, found.statement, **words)


def statement_open(request):
    found = open_statement(today())
    if found is None:
        return redirect("statements")
    return _statement_page(request, found)


def _statement_page(request, found, **words):
    def valued(rows):
        return [(row, to_the_cent(row.value)) for row in rows]

    words |= {"statement": found, "paragraphs": paragraphs(found)}
    words |= {"stock": valued(found.stock), "in_progress": valued(found.in_progress)}
    return render(request, "costing/statement.html", words)


def statement_file(request, day):
    """The very bytes that were frozen."""
    text = _kept(day).row.text
    return _file(text.encode(), "application/json", f"statement-{day}.json")


def statement_pdf(request, day):
    found = _kept(day)
    raw = printed(found.statement, found.row.text)
    return _file(raw, "application/pdf", f"statement-{day}.pdf")


def _file(raw, kind, name):
    disposition = f'attachment; filename="{name}"'
    return HttpResponse(
        raw, content_type=kind, headers={"Content-Disposition": disposition}
    )


def _kept(day):
    try:
        found = kept(date.fromisoformat(day))
    except ValueError:
        found = None
    if found is None:
        raise Http404
    return found
