"""The cost of a lot opened like a drawer, and what the book is worth."""

from decimal import Decimal
from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook

from production.buying.actions.purchases import add_extra_cost
from tests import make


def filled(code="FILL-1"):
    thin = make.lot(f"T-{code}", grams="2450", price="12.25")
    bottles = make.bottles(f"B-{code}", pieces="10", price="7.80")
    return make.batch(
        "filling",
        uses=[(thin, "2450"), (bottles, "10")],
        makes="hand wash",
        amount="10",
        unit="piece",
        code=code,
        net_mass="245",
    )


def test_a_cost_is_opened_down_to_the_invoice_line(desk):
    lot = filled()
    page = desk.get(reverse("lot-cost", args=[lot.code])).content.decode()
    assert "2.005" in page
    assert "0.780000" in page
    assert "1.225000" in page
    for source in ("T-FILL-1", "B-FILL-1"):
        assert reverse("lot", args=[source]) in page


def test_a_missing_price_is_named_and_nothing_is_taken_as_zero(desk):
    lot = make.lot("L-1", price=None)
    page = desk.get(reverse("lot-cost", args=[lot.code])).content.decode()
    assert "a price is missing" in page
    assert lot.line.purchase.number in page


def test_an_open_batch_has_no_cost_yet(desk):
    page = desk.get(reverse("lot-cost", args=["nothing"]))
    assert page.status_code == 404


def test_a_cost_below_zero_is_explained(desk):
    purchase = make.lot("L-1", price="2.00").line.purchase
    credit = {"kind": "credit", "amount": Decimal(-5), "by_basis": "weight"}
    add_extra_cost(purchase=purchase, **credit, **make.act(3))
    page = desk.get(reverse("lot-cost", args=["L-1"])).content.decode()
    assert "It cost less than nothing: a credit is larger than the goods" in page


def test_both_sides_of_the_book_come_to_the_same(desk):
    filled()
    page = desk.get(reverse("book-value")).content.decode()
    assert "20.05" in page
    assert "FILL-1" in page


def test_the_value_of_a_lot_without_a_price_is_unknown(desk):
    make.lot("L-1", price=None)
    page = desk.get(reverse("book-value")).content.decode()
    assert "unknown" in page
    assert "Only what is known is counted" in page


def test_the_value_goes_into_a_spreadsheet(desk):
    filled()
    answer = desk.get(reverse("book-value"), {"sheet": "xlsx"})
    sheet = load_workbook(BytesIO(b"".join(answer.streaming_content))).active
    cells = [str(cell.value) for row in sheet.iter_rows() for cell in row]
    assert "FILL-1" in cells


@pytest.mark.parametrize("name", ["lot-cost", "book-value"])
def test_a_page_asks_the_same_however_much_there_is(desk, name):
    def asked(code):
        path = reverse(name, args=[code] if name == "lot-cost" else [])
        with CaptureQueriesContext(
            connection,
        ) as seen:
            assert desk.get(path).status_code == 200
        return len(seen)

    first = filled("FILL-1").code
    few = asked(first)
    for number in range(2, 8):
        last = filled(f"FILL-{number}").code
    assert asked(last) == few
