"""What is typed as contents, and that no statement promises more than it."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels.domain.net_contents import cut, read_contents
from labels.reads.rules import rule_set
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import MILLILITRES


@pytest.mark.parametrize(
    ("typed", "amount", "by_volume"),
    [
        ("8 fl oz", "236.5882365", True),
        ("8 Fl. Oz.", "236.5882365", True),
        ("8 fluid ounces", "236.5882365", True),
        ("1 pt", "473.176473", True),
        ("236 mL", "236", True),
        ("25 cl", "250", True),
        ("0.5 L", "500", True),
        ("1 lb 8 oz", "680.388555", False),
        ("680 g", "680", False),
        ("0,5 kg", "500", False),
    ],
)
def test_contents_are_read_exactly(typed, amount, by_volume):
    read = read_contents(typed)
    assert (read.amount, read.by_volume) == (Decimal(amount), by_volume)
    assert read.typed == typed


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "nothing stands there"),
        ("8", "8 is no unit of a label"),
        ("a bottle", "a bottle is not an amount"),
        ("-8 fl oz", "-8 fl oz is not an amount"),
        ("8 fl oz + 1 fl oz", "is not an amount"),
        ("0 mL", "is no bottle"),
        ("9000 L", "is no bottle"),
        ("8 pieces", "pieces is no unit of a label"),
        ("8 oz 20 mL", "mixes weight and volume"),
        ("1,000 mL", "Write 1000 or 1"),
    ],
)
def test_what_is_no_contents_is_refused_with_what_to_write(typed, says):
    with pytest.raises(Refused, match=says):
        read_contents(typed)


def test_a_gallon_and_more_are_told_in_the_larger_units():
    # 21 CFR 701.13(j), from memory.
    one = rule_set("us").contents(read_contents("1 gal"))
    assert one.parts == ("1 gal", "(3.78 L)")
    five = rule_set("us").contents(read_contents("5 lb 4 oz"))
    assert five.parts == ("Net Wt 5 lb 4 oz", "(2.38 kg)")


amounts = st.decimals("0.5", "3000", places=2)


@given(amounts)
def test_no_figure_is_more_than_what_was_typed(amount):
    for typed, exact in (
        (f"{amount} mL", amount),
        (f"{amount} fl oz", amount * MILLILITRES["floz"]),
    ):
        for rules in ("us", "eu", "ca"):
            made = rule_set(rules).contents(read_contents(typed))
            assert 0 < made.binding <= exact
            # Cut by less than a unit of the third figure: of the second below 100.
            assert made.binding > exact * Decimal("0.9")


@given(amounts, st.integers(1, 4))
def test_a_figure_that_was_cut_stays_when_cut_again(value, figures):
    once = cut(value, figures)
    assert once <= value
    assert cut(once, figures) == once
