"""When a sale was paid: at once, later, in parts, too much, and money that went back.

Cash-basis people count what was paid on its day (common practice, no source).
"""

from datetime import date
from decimal import Decimal as D

import pytest
from django.urls import reverse

from production.closing.actions import close_book
from production.correcting.actions.undoing import undo_deed
from production.quantities.domain.refusal import Doubted
from production.selling.actions.payments import pay_sale
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.selling.models import Sale
from production.selling.reads.payments import open_sales, paid_of, sale_payments
from tests import make
from tests.production.writing import fill, holds

pytestmark = pytest.mark.django_db


@pytest.fixture
def soap(owner):
    item = make.item("hand wash", kind="made", unit="piece")
    return make.proven("F1", grams="20", item=item)


def act(number):
    return {"on": make.day(number), "by": make.owner()}


def sold(soap, number=5, price="9", **facts):
    price = None if price is None else D(price)
    line = NewSaleLine(soap, D(3), price)
    return sell(lines=[line], channel="stall", **act(number), **facts)


def stands(sale):
    [now] = paid_of([sale])
    return now.owed, now.paid, now.left


def test_in_parts_and_then_in_full(soap):
    sale = sold(soap, tax_rate=D("0.0825"))
    assert stands(sale) == (D("29.23"), 0, D("29.23"))
    pay_sale(sale=sale, amount=D(10), **act(7))
    assert stands(sale) == (D("29.23"), 10, D("19.23"))
    assert [one.sale for one in open_sales()] == [sale]
    pay_sale(sale=sale, **act(9))
    assert stands(sale) == (D("29.23"), D("29.23"), 0)
    assert open_sales() == []
    assert [one.left for one in open_sales(make.day(8))] == [D("19.23")]
    paid = sale_payments(make.day(7), make.day(31))
    assert [(row.deed.on, row.amount) for row in paid] == [(make.day(9), D("19.23"))]
    with make.refused("is paid"):
        pay_sale(sale=sale, **act(9))


def test_at_once(soap):
    sale = sold(soap, paid=True)
    assert stands(sale) == (27, 27, 0)
    with make.refused("write the price"):
        sold(soap, price=None, paid=True)


def test_too_much_is_asked_about(soap):
    sale = sold(soap)
    with pytest.raises(Doubted, match=r"27\.00 of .* to come, and 72\.00 typed"):
        pay_sale(sale=sale, amount=D(72), **act(6))
    pay_sale(sale=sale, amount=D(72), sure=True, **act(6))
    assert stands(sale)[2] == -45
    pay_sale(sale=sale, amount=D(-45), **act(8))
    assert stands(sale) == (27, 27, 0)


def test_what_came_back_is_to_be_paid_back(soap):
    sale = sold(soap, paid=True)
    take_back(line=sale.lines.get(), amount=D(1), then="restock", **act(8))
    assert stands(sale) == (18, 27, -9)
    pay_sale(sale=sale, amount=D(-9), **act(8))
    assert open_sales() == []


def test_a_fee_that_somebody_kept(soap):
    sale = sold(soap)
    pay_sale(sale=sale, amount=D("25.65"), settles=True, **act(8))
    assert stands(sale) == (27, D("25.65"), 0)


def test_a_payment_is_taken_back(soap):
    sale = sold(soap)
    paid = pay_sale(sale=sale, amount=D(7), **act(6))
    undo_deed(undone=paid.deed, **act(7))
    assert stands(sale) == (27, 0, 27)


def test_a_payment_falls_with_its_sale_and_not_alone_below_it(soap):
    sale = sold(soap, paid=True)
    undo_deed(undone=sale.deed, **act(7))
    assert sale_payments(None, make.day(31)) == []
    other = sold(soap)
    pay_sale(sale=other, **act(8))
    with make.refused("payment"):
        undo_deed(undone=other.deed, **act(8))
    with make.refused("was taken back"):
        pay_sale(sale=sale, amount=D(1), **act(8))


def test_nothing_is_paid_in_a_closed_month(soap):
    sale = sold(soap)
    close_book(through=make.day(31), on=date(2026, 4, 2), by=make.owner())
    with make.refused("closed through"):
        pay_sale(sale=sale, **act(20))


def test_its_page(desk, soap):
    sale = sold(soap)
    url = reverse("sale-pay", args=[sale.pk])
    good = {"amount": "20", "on": "2026-03-09"}
    holds(desk, url, good, {"amount": "0"}, "Write how much was paid")
    page = desk.get(sale.get_absolute_url()).content.decode()
    assert "Still to come" in page
    assert "7.00" in page


def test_the_page_of_a_sale_begins_with_the_tax_of_the_last(desk, soap):
    sold(soap, tax_rate=D("0.0825"))
    page = desk.get(reverse("sale-sell")).content.decode()
    assert 'value="8.25 %"' in page or 'value="8.25"' in page
    fill(
        desk,
        reverse("sale-sell"),
        channel="stall",
        paid="on",
        tax_rate="8.25",
        lines__0__lot="F1",
        lines__0__amount="1",
        lines__0__unit_price="10",
        on="2026-03-06",
    )
    sale = Sale.objects.latest("pk")
    assert sale.tax_rate == D("0.0825")
    assert stands(sale) == (D("10.83"), D("10.83"), 0)


def test_the_list_of_sales_asks_no_question_more_for_many(
    desk, soap, django_assert_max_num_queries
):
    def count(many):
        for _ in range(many):
            line = NewSaleLine(soap, D(1), D(9))
            sell(lines=[line], channel="stall", **act(5), tax_rate=D("0.1"))
        with django_assert_max_num_queries(60) as found:
            page = desk.get(reverse("sales")).content.decode()
        assert "0.90" in page
        return len(found)

    assert count(2) == count(15)
