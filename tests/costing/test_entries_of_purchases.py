"""Behind purchases stand what came, what was sent back, and what no invoice brought."""

from decimal import Decimal as D

import pytest

from costing.reads.books import books_between
from costing.reads.entries import opened
from production.buying.actions.sending_back import send_back
from production.selling.actions.customers import ensure_customer
from production.selling.actions.deposits import take_empties_back
from tests import make

pytestmark = pytest.mark.django_db


def test_each_of_them_is_named_and_nothing_is_left(owner):
    """10.00 of oil less a tenth of it, and two bottles that are worth 0.40."""
    oil = make.lot("OIL", grams="1000", price="10", on=make.day(2))
    send_back(lot=oil, amount=D(100), credit=D(1), **make.act(4))
    take_empties_back(
        item=make.item("bottle 250", kind="packaging", unit="piece"),
        amount=D(2),
        deposit=D(0),
        value=D("0.40"),
        customer=ensure_customer("The Tin Lantern"),
        **make.act(5),
    )
    told = opened("purchases", books_between(None, make.day(28)))
    assert [(row.what, D(row.nano) / 10**9) for row in told.rows] == [
        ("rapeseed oil", 10),
        ("sent back", -1),
        ("came back empty", D("0.4")),
    ]
    assert told.rest == 0
