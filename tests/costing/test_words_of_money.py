"""Money in sentences has its currency and two places, and says minus at most once."""

import re
from decimal import Decimal as D

import pytest
from django.urls import reverse

from config.consequences import picture
from production.models import Workshop
from production.record.reads.restated import OF
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.stock.reads.places_of_lots import in_words
from tests import make
from tests.production.writing import typed as boxes

pytestmark = pytest.mark.django_db


def text(answer):
    return " ".join(re.sub(r"<[^>]*>", " ", answer.content.decode()).split())


@pytest.fixture(autouse=True)
def workshop(db):
    return Workshop.objects.create(name="Wrackline", currency="EUR")


@pytest.fixture
def sale(owner):
    lines = [NewSaleLine(make.filled("F1"), D(4), D("9.7675"))]
    return sell(lines=lines, channel="stall", number="A-1", **make.act(3))


def test_a_payment_is_noted_with_its_currency(desk, sale):
    url = reverse("sale-pay", args=[sale.pk])
    sent = {**boxes(desk.get(url)), "amount": "39.07"}
    assert "39.07 EUR noted as paid." in text(desk.post(url, sent, follow=True))
    take_back(line=sale.lines.get(), amount=D(1), then="restock", **make.act(4))
    says = text(desk.get(sale.get_absolute_url()))
    assert "To pay back 9.77 EUR" in says


def test_what_a_sale_brought_does_not_run_into_its_line(sale):
    line = sale.lines.get()
    assert picture(OF.SALE_LINE, line).also == {
        "Taken in with A-1 line 1:": "39.07 EUR"
    }


def test_one_piece_is_no_pieces():
    assert in_words([("crate", D(1)), ("shop", D(3))], "piece").startswith("1 piece at")


def test_a_notice_says_what_is_done(desk):
    lot = make.lot("OIL")
    url = reverse("purchase-cost", args=[lot.line.purchase_id])
    sent = {**boxes(desk.get(url)), "kind": "freight", "by_basis": "weight"}
    page = desk.post(url, {**sent, "amount": "5.00"}, follow=True)
    assert f"The extra cost of {lot.line.purchase} is in the book." in text(page)
