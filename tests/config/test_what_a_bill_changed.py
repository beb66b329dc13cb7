"""A bill or a price that comes late says, as it is entered, what it changed."""

import re
from datetime import date
from decimal import Decimal as D

import pytest
from django.contrib.auth import get_user_model
from django.urls import reverse

from config.demo.people import let_in
from config.demo.year import told, write
from costing.reads.books import books_between
from production.closing.actions import close_book
from production.models import Deed, Purchase
from tests import make
from tests.production.writing import typed as boxes

pytestmark = pytest.mark.django_db


def words(page):
    text = re.sub(r"<[^>]*>", " ", page.content.decode())
    return " ".join(text.split()).replace(" USD", "")


def until_the_freight_bill():
    """The demo's year as it stood before the carrier billed the lift gate."""
    events = told()[1]
    late = next(
        place
        for place, one in enumerate(events)
        if one.where == "extra_cost" and one.facts["amount"] == "41.20"
    )
    write(events[:late], let_in("only for this test"))


def enter(desk, purchase, **facts):
    url = reverse("purchase-cost", args=[purchase.pk])
    sent = {**boxes(desk.get(url)), "kind": "freight", "by_basis": "weight", **facts}
    return desk.post(url, sent, follow=True)


def test_the_late_freight_bill_of_the_demo_says_what_it_changed(client):
    """41.20 on NO-2041, shared by weight as DEVELOPERS.md works it out: babassu BAB-1
    carries 8.47 of it, so 1 kg of the 15,875.733 g costs 163.80 instead of 155.33. What
    January sold and gave away stays in its statement and stands in February."""
    until_the_freight_bill()
    client.force_login(get_user_model().objects.get(username="ines"))
    purchase = Purchase.objects.get(number="NO-2041")
    page = enter(
        client, purchase, amount="41.20", invoiced="2026-01-28", on="2026-02-09"
    )
    assert page.redirect_chain[-1][0] == purchase.get_absolute_url()
    says = words(page)
    assert "What it changes" in says
    assert "BAB-1" in says
    assert "9.7841" in says
    assert "10.3176" in says
    late = books_between(date(2026, 2, 1), date(2026, 2, 9)).figures.late
    assert sum((late.stock, late.sold, late.lost)) == 41_200_000_000
    assert "closed through 2026-01-31" in says
    for nano, where in (
        (late.stock, "stood in stock or open batches on that day"),
        (late.sold, "was sold by then"),
    ):
        money = round(D(nano) / 10**9, 2)
        assert f"{money} more {where}" in says
    assert "late bills" in says


@pytest.fixture
def oil():
    """1,000 g for 10.00, of which 400 g are sold in a month that is closed."""
    lot = make.lot("OIL", grams="1000", price="10", on=date(2026, 1, 5))
    make.sale(lot, "400", on=date(2026, 1, 20))
    return lot


def closed():
    close_book(through=date(2026, 1, 31), on=date(2026, 2, 3), by=make.owner())


def test_what_changed_is_split_by_stock_sold_and_closed_months(desk, oil):
    """5.00 of freight on 1,000 g: 3.00 on the shelf, 2.00 sold in January."""
    closed()
    says = words(enter(desk, oil.line.purchase, amount="5.00", on="2026-02-10"))
    assert "Value of goods sold 2.00 more" in says
    assert "Value of stock 3.00 more" in says
    assert (
        "3.00 more stood in stock or open batches on that day, 2.00 more was sold"
        in says
    )
    assert "10.00 15.00 400 g 2.00 more" in says


def test_in_an_open_month_nothing_is_said_of_closed_ones(desk, oil):
    says = words(enter(desk, oil.line.purchase, amount="5.00", on="2026-02-10"))
    assert "Value of stock 3.00 more" in says
    assert "closed through" not in says


def test_a_price_that_comes_late_says_it_too(desk):
    lot = make.lot("OIL", grams="1000", price=None, on=date(2026, 1, 5))
    make.sale(lot, "400", on=date(2026, 1, 20))
    closed()
    url = reverse("line-price", args=[lot.line.pk])
    sent = {**boxes(desk.get(url)), "price": "10.00", "on": "2026-02-10"}
    says = words(desk.post(url, sent, follow=True))
    assert "Value of goods sold 4.00 more" in says
    assert "not known 10.00" in says
    assert (
        "6.00 more stood in stock or open batches on that day, 4.00 more was sold"
        in says
    )


def test_a_form_that_is_sent_again_still_says_it(desk, oil):
    purchase = oil.line.purchase
    url = reverse("purchase-cost", args=[purchase.pk])
    sent = {**boxes(desk.get(url)), "kind": "freight", "by_basis": "weight"}
    sent |= {"amount": "5.00", "on": "2026-02-10"}
    first = words(desk.post(url, sent, follow=True))
    again = words(desk.post(url, sent, follow=True))
    for says in (first, again):
        assert "Value of stock 3.00 more" in says
    assert Deed.objects.filter(verb="add an extra cost").count() == 1


def test_a_refused_bill_changes_nothing_and_says_nothing(desk, oil):
    page = enter(desk, oil.line.purchase, amount="-5.00", on="2026-02-10")
    assert "What it changes" not in words(page)
    page = desk.get(oil.line.purchase.get_absolute_url())
    assert "What it changes" not in words(page)
