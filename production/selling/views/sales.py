"""Who bought what, and what came back."""

from django.db.models import Count, Exists, OuterRef, Prefetch, Q
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from production.pages.forms.payments import PaidForm
from production.pages.views.pages import card_page, list_page, write_page
from production.quantities.domain.numbers import plain
from production.record.reads.papers import entered_again, taken_back_with
from production.record.reads.restated import settle, with_told
from production.record.reads.sums import in_money
from production.selling.actions import sales as deeds
from production.selling.actions.customers import add_customer, change_customer
from production.selling.actions.payments import pay_sale
from production.selling.actions.returns import look_at_return
from production.selling.filters import CustomerFilter, ReturnFilter, SaleFilter
from production.selling.forms.customers import CustomerForm
from production.selling.forms.sales import LookForm, SaleForm, TakeBackForm
from production.selling.models import Customer, Return, Sale, SaleLine
from production.selling.reads.papers import shown_sale_lines, with_brought
from production.selling.reads.payments import paid_of
from production.selling.reads.places_of_sales import taken_from
from production.selling.reads.returned_goods import unseen_of
from production.selling.reads.revenue import in_all, revenues_of
from production.selling.tables import Customers, Returns, Sales


def listed_sales():
    """With ``stands``, and the lines that stand counted."""
    lines = SaleLine.objects.standing().filter(pk=OuterRef("lines"))
    return (
        Sale.objects.with_standing()
        .select_related("customer")
        .alias(lines__stands=Exists(lines))
        .annotate(line_count=Count("lines", filter=Q(lines__stands=True)))
    )


def sales(request):
    return list_page(
        request,
        Sales,
        listed_sales(),
        SaleFilter,
        title="Sales",
        says="Every bottle that left, and to whom.",
        act=True,
        links=[
            ("returns", "What came back"),
            ("deposits", "Deposits"),
            ("customers", "Customers"),
        ],
    )


def sell(request):
    first = [{"lot": request.GET["lot"]}] if "lot" in request.GET else []
    return write_page(
        request,
        SaleForm(request.POST or None, rows={"lines": first}),
        deeds.sell,
        title="Record a sale",
        says="Name the customer; where there is none, the stall or shop and the day "
        "must do.",
        button="Write the sale",
        done=_taken,
    )


def _taken(sale):
    places = " and ".join(taken_from([sale])[sale.pk])
    return f"Sale {sale} is in the book, taken from {places}."


def sale(request, pk):
    found = get_object_or_404(
        Sale.objects.with_standing()
        .select_related("customer", "deed__by")
        .prefetch_related(Prefetch("lines", with_told(shown_sale_lines()))),
        pk=pk,
    )
    settle(found.lines.all())
    [paid] = paid_of([found])
    words = {
        "sale": found,
        "lines": with_brought(found),
        "brought": in_all(revenues_of([found.pk])[found.pk]),
        "paid": paid,
    }
    if not found.stands:
        words |= {"undone": taken_back_with(found), "again": entered_again(found)}
    return render(request, "production/selling/sale.html", words)


def pay(request, pk):
    rows = Sale.objects.standing().select_related("customer")
    found = get_object_or_404(rows, pk=pk)
    [now] = paid_of([found])
    return write_page(
        request,
        PaidForm(request.POST or None),
        pay_sale,
        extra={"sale": found},
        title=f"Note a payment of sale {found}",
        about=f"{found.customer or found.channel}",
        says=_stands(now),
        button="Note it",
        done=lambda paid: f"{in_money(paid.amount)} noted as paid.",
        to=found,
    )


def _stands(now):
    if now.owed is None:
        return "A price of it is not known yet, so nobody knows what is to come."
    owed, paid = in_money(now.owed), in_money(now.paid)
    return (
        f"It comes to {owed} with its sales tax, less what came back; {paid} "
        "noted as paid."
    )


def take_back(request, pk):
    lines = SaleLine.objects.select_related("lot__item", "sale")
    line = get_object_or_404(lines, pk=pk)
    return write_page(
        request,
        TakeBackForm(request.POST or None, line=line),
        deeds.take_back,
        extra={"line": line},
        title=f"Take back some of {line.lot}",
        says=f"Sold with {line.sale} on {line.sale.on}: {plain(line.amount)} of "
        f"{line.lot.item}.",
        button="Take them back",
        done=lambda back: f"Return {back} is in the book.",
        to=line.sale,
    )


def look(request, pk):
    rows = Return.objects.standing().select_related(
        "line__sale", "line__lot__item", "movement__place"
    )
    back = get_object_or_404(rows, pk=pk)
    left = unseen_of(back)
    unit = "g" if back.line.lot.item.unit == "g" else "pieces"
    return write_page(
        request,
        LookForm(request.POST or None, back=back, left=left),
        look_at_return,
        extra={"back": back},
        title=f"Look at what came back: {back.line.lot}",
        about=f"{back.line.lot.item}",
        says=f"{plain(left)} {unit} of return {back}, of {back.movement.on}, wait at "
        f"{back.movement.place}. What is sealed and fine goes back to be sold; what "
        "was opened, refilled or damaged never does: it is discarded, sampled or "
        "reworked.",
        button="Write what was seen",
        done=lambda look: f"{look} is in the book.",
        to=back.line.lot,
    )


def returns(request):
    found = (
        Return.objects.with_standing()
        .select_related("line__sale", "line__lot__item", "movement")
        .prefetch_related("looks")
        .order_by("-id")
    )
    return list_page(
        request,
        Returns,
        found,
        ReturnFilter,
        title="Returns",
        says="What came back, and what was done with it.",
    )


def customers(request):
    standing = Sale.objects.standing().filter(pk=OuterRef("sales"))
    return list_page(
        request,
        Customers,
        Customer.objects.alias(sales__stands=Exists(standing)).annotate(
            sale_count=Count("sales", filter=Q(sales__stands=True))
        ),
        CustomerFilter,
        title="Customers",
        says="Who has the bottles.",
        act=True,
    )


def customer(request, pk):
    found = get_object_or_404(Customer, pk=pk)
    return list_page(
        request,
        Sales,
        listed_sales().filter(customer=found),
        SaleFilter,
        title=found.name,
        says=found.contact,
        act=True,
        change=reverse("customer-change", args=[found.pk]),
    )


def customer_add(request):
    return card_page(
        request,
        CustomerForm(request.POST or None),
        add_customer,
        title="Add a customer",
        says="Who has the bottles.",
        button="Add the customer",
    )


def customer_change(request, pk):
    found = get_object_or_404(Customer, pk=pk)
    return card_page(
        request,
        CustomerForm(request.POST or None, instance=found),
        change_customer,
        # A fresh row: the form has written its answers on the one it shows.
        extra={"customer": get_object_or_404(Customer, pk=pk)},
        title=f"Change {found.name}",
        button="Write the card",
    )
