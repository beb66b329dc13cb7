"""Purchases, their prices and bills, opening stock, and who supplies."""

from django.db.models import Count, Exists, OuterRef, Q
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from production.buying.actions import purchases as deeds
from production.buying.actions.arrivals import arrive_fine
from production.buying.actions.purchases import (
    add_extra_cost,
    price_line,
    record_purchase,
)
from production.buying.actions.suppliers import add_supplier, change_supplier
from production.buying.filters import PurchaseFilter, SupplierFilter
from production.buying.forms.arrivals import ArrivedForm
from production.buying.forms.purchases import (
    ExtraCostForm,
    OpenStockForm,
    PriceForm,
    PurchaseForm,
)
from production.buying.forms.suppliers import SupplierForm
from production.buying.models import (
    ExtraCost,
    LinePrice,
    Purchase,
    PurchaseLine,
    Supplier,
)
from production.buying.reads.bills import bills
from production.buying.reads.owed import credited, owed_of
from production.buying.reads.papers import shown_lines
from production.buying.tables import Purchases, Suppliers
from production.pages.views.pages import card_page, list_page, write_page
from production.pages.views.watched import changed, watched
from production.record.reads.clock import today
from production.record.reads.papers import entered_again, taken_back_with
from production.record.reads.restated import OF
from production.stock.reads.on_labels import said_of_labels


def listed_purchases():
    """With ``stands``, and the lines that stand counted."""
    lines = PurchaseLine.objects.standing().filter(pk=OuterRef("lines"))
    return (
        Purchase.objects.with_standing()
        .select_related("supplier")
        .alias(
            lines__stands=Exists(lines),
            lines__priced=Exists(LinePrice.objects.filter(line=OuterRef("lines"))),
        )
        .annotate(
            line_count=Count("lines", filter=Q(lines__stands=True)),
            unpriced=Count("lines", filter=Q(lines__stands=True, lines__priced=False)),
        )
    )


def purchases(request):
    return list_page(
        request,
        Purchases,
        listed_purchases(),
        PurchaseFilter,
        title="Purchases",
        says="What was bought, from whom, and what still lacks its price.",
        act=True,
        links=[
            ("purchase-sheet", "Read purchases from a sheet"),
            ("stock-open", "Take in opening stock"),
            ("suppliers", "Suppliers"),
        ],
    )


def record(request):
    return write_page(
        request,
        PurchaseForm(request.POST or None),
        record_purchase,
        title="Record a purchase",
        says="Goods, prices and bills may come on different days: leave open what "
        "you do not know yet.",
        button="Write the purchase",
        done=lambda made: f"{made} is in the book.",
    )


def purchase(request, pk):
    found = get_object_or_404(
        Purchase.objects.with_standing().select_related("supplier", "deed__by"),
        pk=pk,
    )
    bill = bills([found.pk]).get(found.pk)
    lines = shown_lines(found)
    words = {
        "purchase": found,
        "lines": _with_costs(lines, bill),
        "on_labels": said_of_labels(_lots_of(lines)),
        "arrived": ArrivedForm(purchase=found),
        "extras": _fallen(found, bill),
        "foreign": found.currency or found.rate != 1,
        "changes": changed(request, found),
        "owing": owed_of([found])[0],
        "credits": credited(lot.pk for one in lines for lot, _ in one.lots),
    }
    if not found.stands:
        again = entered_again(found, supplier=found.supplier_id)
        words |= {"undone": taken_back_with(found), "again": again}
    return render(request, "production/buying/purchase.html", words)


def _lots_of(lines):
    """What came with these lines and is left, with its item."""
    for one in lines:
        for lot, _ in one.lots:
            lot.item = one.line.item
    return [lot for one in lines if one.line.item for lot, left in one.lots if left]


def _with_costs(lines, bill):
    """Each line beside what it cost at the door, None while that is not known."""
    costs = {}
    if bill is not None:
        known = zip(bill.lines, bill.costs(), strict=True)
        costs = {one.line.pk: cost for one, cost in known}
    return [(one, one.line.pk in costs, costs.get(one.line.pk)) for one in lines]


def _fallen(purchase, bill):
    """Each extra cost, and how it falls on the lines that carry it."""
    if bill is None:
        rows = ExtraCost.objects.filter(purchase=purchase)
        return [{"row": row} for row in rows]
    return [
        {
            "row": extra.row,
            "amount": extra.amount,
            "asks": extra.asks,
            "shares": zip(bill.lines, extra.shares or (), strict=False),
        }
        for extra in bill.extras
    ]


def arrived(request, pk):
    """The look on arrival: fine with one button, or lot by lot."""
    found = get_object_or_404(Purchase, pk=pk)
    return write_page(
        request,
        ArrivedForm(_as_of_today(request), purchase=found),
        arrive_fine,
        extra={"purchase": found},
        template="production/buying/arrived.html",
        title=f"{found} arrived",
        says="Packs whole and dry, names and lot numbers as ordered, papers there: "
        "what waits is released. Tick what is not fine: it is held.",
        button="The rest arrived fine",
        done=f"{found} is looked at.",
        to=found,
    )


def _as_of_today(request):
    """The button on the paper sends no day: it is today's."""
    if request.method != "POST":
        return None
    sent = request.POST.copy()
    sent.setdefault("on", str(today()))
    return sent


def price(request, pk):
    lines = PurchaseLine.objects.select_related("item", "purchase")
    line = get_object_or_404(lines, pk=pk)
    return write_page(
        request,
        PriceForm(request.POST or None, purchase=line.purchase),
        watched(request, OF.LINE, line, price_line, line.purchase),
        extra={"line": line},
        title=f"Price {line.item or line.text}",
        says=f"What {line} cost in all. An earlier price stays in the book; the "
        "latest counts.",
        button="Write the price",
        done=f"The price of {line} is in the book.",
        to=line.purchase,
    )


def extra_cost(request, pk):
    found = get_object_or_404(Purchase, pk=pk)
    return write_page(
        request,
        ExtraCostForm(request.POST or None, purchase=found),
        watched(request, OF.PURCHASE, found, add_extra_cost, found),
        extra={"purchase": found},
        title=f"Add an extra cost to {found}",
        says="Freight, duty, a surcharge or a credit, shared over the lines; a late "
        "bill re-values what was made since.",
        button="Add the cost",
        done=f"The extra cost of {found} is in the book.",
        to=found,
    )


def open_stock(request):
    return write_page(
        request,
        OpenStockForm(request.POST or None),
        deeds.open_stock,
        title="Take in opening stock",
        says="What stood on the shelf before this book began, one lot at a time.",
        button="Take it in",
        done=lambda lot: f"{lot} is in the book.",
    )


def suppliers(request):
    standing = Purchase.objects.standing().filter(pk=OuterRef("purchases"))
    return list_page(
        request,
        Suppliers,
        Supplier.objects.alias(purchases__stands=Exists(standing)).annotate(
            purchase_count=Count("purchases", filter=Q(purchases__stands=True))
        ),
        SupplierFilter,
        title="Suppliers",
        says="Who the goods come from.",
        act=True,
    )


def supplier(request, pk):
    found = get_object_or_404(Supplier, pk=pk)
    bought = listed_purchases().filter(supplier=found)
    return list_page(
        request,
        Purchases,
        bought,
        PurchaseFilter,
        title=found.name,
        says=found.contact,
        note=found.note,
        act=True,
        change=reverse("supplier-change", args=[found.pk]),
    )


def supplier_add(request):
    return card_page(
        request,
        SupplierForm(request.POST or None),
        add_supplier,
        title="Add a supplier",
        says="Who the goods come from.",
        button="Add the supplier",
    )


def supplier_change(request, pk):
    found = get_object_or_404(Supplier, pk=pk)
    return card_page(
        request,
        SupplierForm(request.POST or None, instance=found),
        change_supplier,
        # A fresh row: the form has written its answers on the one it shows.
        extra={"supplier": get_object_or_404(Supplier, pk=pk)},
        title=f"Change {found.name}",
        button="Write the card",
    )
