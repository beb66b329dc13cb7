"""Papers that were taken back, and one form that is sent twice.

Told through deeds and pages alone; how the book keeps it is nobody's business here.
``tests/production/clumsy_machine`` steps such stories at random.
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.models import Sale
from production.quantities.domain.refusal import Refused
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.opening_lots import NewLot
from production.tracing.reads.family import holders
from production.tracing.reads.trace import deliveries_of
from tests import make
from tests.production.clumsy import here, material, undo, unit_cost
from tests.production.writing import typed

pytestmark = pytest.mark.django_db


def numbers(desk, name, **narrowed):
    """The numbers that a list shows."""
    return [
        str(row.record)
        for row in desk.get(reverse(name), narrowed).context["table"].rows
    ]


def sold(lot, amount="2", number="R-1", customer="The Tin Lantern"):
    return sell(
        number=number,
        lines=[NewSaleLine(lot, Decimal(amount), Decimal("9.00"))],
        customer=ensure_customer(customer),
        **make.act(4),
    )


def test_a_sale_that_was_taken_back_is_in_no_list(desk):
    lot = make.lot("PIECES", item=material())
    sold(lot, number="R-1")
    wrong = sold(lot, number="R-2")
    undo(wrong.deed)
    assert numbers(desk, "sales") == ["R-1"]
    page = reverse("customer", args=[wrong.customer_id])
    assert [str(row.record) for row in desk.get(page).context["table"].rows] == ["R-1"]
    [row] = desk.get(reverse("customers")).context["table"].rows
    assert row.record.sale_count == 1


def test_a_purchase_that_was_taken_back_is_in_no_list(desk):
    stays = make.lot(item=material()).line.purchase
    wrong = make.lot(item=material()).line.purchase
    undo(wrong.deed)
    assert numbers(desk, "purchases") == [stays.number]


def test_the_number_of_a_sale_that_was_taken_back_is_free_again():
    """The block of receipts says R-1, and R-1 it must be."""
    lot = make.lot(item=material())
    undo(sold(lot, "20").deed)
    again = sold(lot, "2")
    assert again.number == "R-1"
    assert here(lot) == {"workshop": 998}
    [holder] = holders(deliveries_of([lot.pk]))
    assert holder.kept == 2


def buy(number="IN-7", code="OIL", supplier="Northmere Oils", price="10.00"):
    new = NewLot(Decimal(1000), code=code)
    return record_purchase(
        number=number,
        supplier=ensure_supplier(supplier),
        lines=[NewLine(material(), [new], price=Decimal(price))],
        **make.act(),
    )


def test_a_purchase_is_entered_again_with_its_number_and_its_codes():
    undo(buy(price="1.00").deed)
    again = buy()
    lot = again.lines.get().lots.get()
    assert (again.number, lot.code) == ("IN-7", "OIL")
    assert here(lot) == {"workshop": 1000}
    assert unit_cost(lot) == Fraction(1, 100)


def test_two_suppliers_may_give_their_invoices_one_number():
    buy()
    assert buy(supplier="Bo", code="OIL-2").number == "IN-7"
    with make.refused("IN-7"):
        buy(code="OIL-3")


def sell_with(key, lot, amount):
    return sell(
        key=key,
        lines=[NewSaleLine(lot, Decimal(amount), Decimal("9.00"))],
        customer=ensure_customer("Bo"),
        **make.act(4),
    )


def test_the_same_sale_sent_twice_is_one():
    lot = make.lot(item=material())
    first = sell_with("k", lot, "2")
    assert sell_with("k", lot, "2") == first
    assert here(lot) == {"workshop": 998}


def test_another_sale_under_the_same_key_is_not_answered():
    """She pressed Back, wrote 3 for 2, and sent it again."""
    lot = make.lot(item=material())
    ensure_customer("Bo")
    sell_with("k", lot, "2")
    before = make.book()
    with pytest.raises(Refused):
        sell_with("k", lot, "3")
    assert make.book() == before


def test_a_page_sent_again_with_another_figure_asks(desk):
    lot = make.lot("JAR", item=material())
    customer = ensure_customer("Bo")
    url = reverse("sale-sell")
    sent = typed(desk.get(url)) | {
        "customer": customer.pk,
        "lines-0-lot": lot.code,
        "lines-0-amount": "2 g",
        "on": "2026-03-04",
    }
    assert desk.post(url, sent).status_code == 302
    before = make.book()
    answer = desk.post(url, sent | {"lines-0-amount": "3 g"})
    assert make.book() == before
    assert answer.status_code == 200
    # What was typed the second time is still there, and not the old figure.
    assert typed(answer)["lines-0-amount"] == "3 g"
    assert Sale.objects.count() == 1
