"""Extra costs are shared as they say.

Told through deeds and pages alone; how the book keeps it is nobody's business here.
``tests/production/clumsy_machine`` steps such stories at random.
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from production.buying.actions.purchases import NewExtra, NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.stock.actions.opening_lots import NewLot
from tests import make
from tests.production.clumsy import bottle, material, unit_cost

pytestmark = pytest.mark.django_db


def bill(*lines, by="weight", freight="10.00"):
    """A purchase with freight; a line is (code, item, amount, price, shipped g)."""
    purchase = record_purchase(
        supplier=ensure_supplier("Northmere Oils"),
        lines=[
            NewLine(
                item,
                [NewLot(Decimal(amount), code=code)],
                price=Decimal(price),
                shipping_weight=None if shipped is None else Decimal(shipped),
            )
            for code, item, amount, price, shipped in lines
        ],
        extra_costs=[NewExtra("freight", Decimal(freight), by)],
        **make.act(),
    )
    return {lot.code: lot for line in purchase.lines.all() for lot in line.lots.all()}


def test_freight_by_weight_goes_by_the_grams_that_the_book_knows():
    """A drum of 9 kg for 10.00 and a flask of 1 kg for 90.00: the drum is heavy."""
    lots = bill(
        ("DRUM", material(), "9000", "10.00", None),
        ("FLASK", material("lavender", "fragrance"), "1000", "90.00", None),
    )
    assert unit_cost(lots["DRUM"]) == Fraction(19, 9000)
    assert unit_cost(lots["FLASK"]) == Fraction(91, 1000)


def test_pieces_whose_weight_nobody_knows_leave_the_cost_unknown_and_named(desk):
    lots = bill(
        ("DRUM", material(), "9000", "10.00", None),
        ("BOT", bottle(), "100", "90.00", None),
    )
    assert unit_cost(lots["DRUM"]) is None
    assert unit_cost(lots["BOT"]) is None
    page = desk.get(reverse("lot-cost", args=["DRUM"])).content.decode()
    assert "BOT" in page or "bottle 250" in page


def test_pieces_whose_weight_was_typed_share_by_it():
    lots = bill(
        ("DRUM", material(), "9000", "10.00", "9000"),
        ("BOT", bottle(), "100", "90.00", "1000"),
    )
    assert unit_cost(lots["DRUM"]) == Fraction(19, 9000)
    assert unit_cost(lots["BOT"]) == Fraction(91, 100)


def test_freight_by_value_goes_by_the_price():
    lots = bill(
        ("DRUM", material(), "9000", "10.00", None),
        ("BOT", bottle(), "100", "90.00", None),
        by="value",
    )
    assert unit_cost(lots["DRUM"]) == Fraction(11, 9000)
