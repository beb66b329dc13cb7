"""The pages on which goods come in."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.buying.actions.suppliers import ensure_supplier
from production.models import ExtraCost, Lot, Measurement, Purchase
from tests import make
from tests.production.writing import fill, holds, typed

DAY = "2026-03-02"
RECORD = reverse("purchase-record")


@pytest.fixture
def supplier(owner):
    return str(ensure_supplier("Northmere Oils").pk)


def test_record_a_purchase(desk, supplier):
    oil = make.item(density=Decimal("0.92"))
    good = {
        "supplier": supplier,
        "on": DAY,
        "lines-0-item": str(oil.pk),
        "lines-0-amount": "2 gal",
        "lines-0-code": "OIL-1",
    }
    holds(desk, RECORD, good, {"lines-0-amount": "much"}, "much is not an amount")
    entry = Lot.objects.get(code="OIL-1").movements.get()
    assert entry.amount == Decimal("6965.158")
    assert entry.typed == "2 gal"
    assert not Purchase.objects.get().lines.get().prices.exists()


def test_a_line_may_come_as_two_lots(desk, supplier):
    oil = str(make.item().pk)
    fill(
        desk,
        RECORD,
        supplier=supplier,
        on=DAY,
        lines__0__item=oil,
        lines__0__amount="1 kg",
        lines__0__price="20",
        lines__1__item=oil,
        lines__1__amount="2 kg",
        lines__1__same_line="on",
    )
    line = Purchase.objects.get().lines.get()
    assert line.amount == 3000
    assert line.lots.count() == 2


def test_a_price_typed_on_a_second_lot_of_the_line_is_refused(desk, supplier):
    oil = str(make.item().pk)
    sent = typed(desk.get(RECORD))
    sent |= {"supplier": supplier, "on": DAY}
    for row in "01":
        sent |= {f"lines-{row}-item": oil, f"lines-{row}-amount": "1 kg"}
        sent[f"lines-{row}-price"] = "20"
    sent["lines-1-same_line"] = "on"
    page = desk.post(RECORD, sent).content.decode()
    assert "the line above carries the price" in page
    assert not Purchase.objects.exists()


@pytest.mark.parametrize("text", ["0.9", "1", ".85"])
def test_a_purity_that_could_be_a_fraction_is_asked_about(desk, supplier, text):
    sent = typed(desk.get(RECORD))
    sent |= {"lines-0-item": str(make.item().pk), "lines-0-purity": text}
    page = desk.post(RECORD, sent).content.decode()
    assert "% meant, or" in page


@pytest.mark.parametrize(
    ("text", "share"), [("85", "0.85"), ("85 %", "0.85"), ("89,9%", "0.899")]
)
def test_purity_is_typed_in_percent(desk, supplier, text, share):
    fill(
        desk,
        RECORD,
        supplier=supplier,
        on=DAY,
        lines__0__item=str(make.item("potassium hydroxide").pk),
        lines__0__amount="5 kg",
        lines__0__purity=text,
    )
    stated = Measurement.objects.get(what="purity")
    assert (stated.value, stated.basis) == (Decimal(share), "stated")


def test_price_a_line(desk):
    line = make.lot(price=None).line
    url = reverse("line-price", args=[line.pk])
    holds(desk, url, {"price": "78.50"}, {"price": "1,234"}, "read in two ways")
    assert line.prices.get().price == Decimal("78.50")


def test_add_an_extra_cost(desk):
    purchase = make.lot().line.purchase
    url = reverse("purchase-cost", args=[purchase.pk])
    good = {"kind": "freight", "amount": "41.20"}
    holds(desk, url, good, {"amount": "-41.20"}, "a credit is written with a minus")
    assert ExtraCost.objects.get().amount == Decimal("41.20")


def test_take_in_opening_stock(desk):
    item = make.item()
    good = {"item": str(item.pk), "amount": "5 lb", "code": "OLD-1", "on": DAY}
    holds(desk, reverse("stock-open"), good, {"amount": "0"}, "0 is nothing")
    entry = Lot.objects.get(code="OLD-1").movements.get()
    assert (entry.kind, entry.amount) == ("opening", Decimal("2267.962"))
    assert entry.value is None
