"""Pieces are whole: what is begun is fetched, and the last digit of a sum is nothing.

A share of the book has six places, so a third of a box is a little more or less than a
third, and three of them are one box all the same.
"""

from decimal import Decimal as D

import pytest

from production.recipes.domain.scaling.goods import (
    Material,
    Need,
    pieces_down,
    pieces_up,
)

THIRDS = [D("0.333333"), D("0.333334")]
BOX = Material(1, "gift box", unit="piece", kind="packaging")


@pytest.mark.parametrize("third", THIRDS)
def test_three_thirds_of_a_box_are_one_box(third):
    assert pieces_up(3 * third) == 1
    assert pieces_down(3 * third) == 1
    assert Need(BOX, 3 * third).to_weigh == 1
    assert Need(BOX, 3 * third).on_balance(D("0.1")) == Need(BOX, D(1))


def test_a_box_that_is_begun_is_fetched_and_not_filled():
    """Seven bottles in boxes of three: three boxes, of which two are full."""
    assert pieces_up(D(7) / 3) == 3
    assert pieces_down(D(7) / 3) == 2


@pytest.mark.parametrize("last_digit", [D("1e-24"), D("-1e-24")])
def test_soap_for_twenty_bottles_fills_twenty(last_digit):
    """What a sum of 28 digits leaves behind is no bottle more and none less."""
    filled = 20 + last_digit
    assert filled != 20
    assert (pieces_down(filled), pieces_up(filled)) == (20, 20)
