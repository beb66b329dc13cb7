"""A correction that is taken back restores what was corrected.

Told through deeds and pages alone; how the book keeps it is nobody's business here.
``tests/production/clumsy_machine`` steps such stories at random.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from production.buying.actions.purchases import add_extra_cost, open_stock, price_line
from production.stock.actions.opening_lots import NewLot
from production.tracing.reads.trace import trace
from tests import make
from tests.production.clumsy import (
    correct,
    entry,
    here,
    latest,
    make_of,
    material,
    open_pot,
    undo,
    unit_cost,
)

pytestmark = pytest.mark.django_db


def test_a_use_corrected_and_the_correction_taken_back_is_the_use_again():
    """500 g went in. She wrote 480, saw that 500 was right, and took that back."""
    lot = make.lot(item=material())
    pot = open_pot(lot, "500")
    wrong = correct(entry(lot, "used"), "480")
    assert here(lot) == {"workshop": 520}
    undo(wrong)
    assert here(lot) == {"workshop": 500}
    made = make_of(pot, "500")
    assert [edge.amount for edge in trace(made).edges] == [500]


def test_an_arrival_corrected_and_the_correction_taken_back_is_here_again():
    lot = make.lot(item=material())
    wrong = correct(entry(lot, "received"), "900")
    undo(wrong)
    assert here(lot) == {"workshop": 1000}
    assert unit_cost(lot) == Fraction(1, 100)


def test_of_two_corrections_the_first_counts_again_when_the_second_is_taken_back():
    lot = make.lot(item=material())
    correct(entry(lot, "received"), "900")
    second = correct(entry(lot, "received"), "90")
    undo(second)
    assert here(lot) == {"workshop": 900}


def test_what_was_corrected_is_taken_back_as_it_stands():
    """She corrected an arrival, and then found that it was another workshop's."""
    lot = make.lot(item=material())
    correct(entry(lot, "received"), "900")
    undo(lot.deed)
    assert here(lot) == {}


def test_opening_stock_that_was_corrected_is_taken_back_as_it_stands():
    new = NewLot(Decimal(700), code="OLD")
    lot = open_stock(
        item=material(), lot=new, value=Decimal(7), **make.act(by=make.owner())
    )
    correct(entry(lot, "opening"), "70")
    undo(lot.deed)
    assert here(lot) == {}


def test_freight_that_was_taken_back_is_not_in_the_cost():
    """180 for 18; taken back and written again."""
    lot = make.lot(item=material())
    bills = {"purchase": lot.line.purchase, "kind": "freight"}
    add_extra_cost(amount=Decimal("180.00"), **bills, **make.act(3))
    wrong = latest()
    undo(wrong)
    add_extra_cost(amount=Decimal("18.00"), **bills, **make.act(4))
    assert unit_cost(lot) == Fraction(28, 1000)


def test_a_price_that_was_taken_back_gives_the_earlier_one_back():
    lot = make.lot(item=material())
    price_line(line=lot.line, price=Decimal("100.00"), **make.act(3))
    undo(latest())
    assert unit_cost(lot) == Fraction(10, 1000)
