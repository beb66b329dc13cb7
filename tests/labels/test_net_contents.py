"""What is typed as contents, and that no statement promises more than it."""

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from labels.domain.net_contents import cut, read_contents
from labels.reads.rules import rule_set
from production.quantities.domain.numbers import plain
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
    assert rule_set("us").contents(read_contents("1 gal")).parts == (
        "1 gal",
        "(3.78 L)",
    )
    five = rule_set("us").contents(read_contents("5 lb 4 oz"))
    assert five.parts == ("Net Wt 5 lb 4 oz", "(2.38 kg)")


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        # One system, the smaller after the larger: summed.
        ("1 lb 8 oz", "680.388555"),
        ("1 qt 1 pt 8 fl oz", "1656.1176555"),
        ("1 L 500 mL", "1500"),
        ("2 1/2 gal", "9463.52946"),
        # 21 CFR 701.13(m)(4) itself prints oz. for the rest of a quart.
        ("56 fl. oz. (1 qt. 1 pt. 8 oz.)", "1656.1176555"),
        # The same again: never added.
        ("8 fl oz 236 mL", "236.5882365"),
        ("8 fl oz (237 mL)", "236.5882365"),
        ("8 fl oz, 236 mL", "236.5882365"),
        ("8 fl oz / 236 mL", "236.5882365"),
        ("16 fl oz (1 pt) 473 mL", "473.176473"),
        ("1 lb 16 oz", "453.59237"),
        ("500 mL (0.5 L)", "500"),
        # The metric one was meant: the ounces are what a label makes of it.
        ("8.45 fl oz (250 mL)", "250"),
        ("250 mL (8.45 fl oz)", "250"),
        # Imperial ounces beside metric.
        ("250 ml 8.8 fl oz", "250"),
        ("Net contents: 8 FL. OZ.", "236.5882365"),
        ("Net Wt 24 oz (1 lb 8 oz) 680 g", "680.388555"),
        ("6 oz net wt (170 g)", "170.09713875"),
    ],
)
def test_the_same_amount_said_again_is_compared_and_never_added(typed, amount):
    assert read_contents(typed).amount == Decimal(amount)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("8 fl oz 240 mL", "8 fl oz and 240 mL do not agree: 8 fl oz is 236.5 mL"),
        ("16 fl oz (500 mL)", "16 fl oz and 500 mL do not agree"),
        ("8 fl oz 236 mL 9 fl oz", "8 fl oz and 9 fl oz do not agree"),
        # 8.8 imperial fluid ounces are 250 mL: US ones are not.
        ("8.8 fl oz 250 mL", "8.8 fl oz and 250 mL do not agree"),
        ("8 oz (236 mL)", "mixes weight and volume, 8 oz and 236 mL"),
        ("8 fl oz 8 oz", "mixes weight and volume, 8 fl oz and 8 oz"),
        ("Net Wt 8 fl oz", "8 fl oz is a volume"),
        ("Giant 8 fl oz (236 mL)", "Giant .* qualify or inflate"),
        ("8 jumbo fl oz", "jumbo .* qualify or inflate"),
        ("8 fl oz minimum", "minimum .* qualify or inflate"),
        ("Nt 250 ml", "Nt .* written in full"),
        ("8 fl oz of soap", "of soap in 8 fl oz of soap is no unit"),
        ("8 fl oz " * 12, "too long"),
    ],
)
def test_two_amounts_or_another_word_are_refused_with_both(typed, says):
    with pytest.raises(Refused, match=says):
        read_contents(typed)


def test_an_amount_of_a_kind_that_a_label_cannot_tell_is_refused():
    with pytest.raises(Refused, match="too little to be told in ounces"):
        rule_set("us").contents(read_contents("0.1 mL"))


amounts = st.decimals("0.5", "3000", places=2)
units = st.sampled_from(
    ["mL", "cl", "L", "fl oz", "pt", "qt", "gal", "g", "kg", "oz", "lb"]
)


@given(amounts, units, st.sampled_from(["us", "eu", "uk", "ca"]))
def test_what_is_printed_reads_back_to_the_same_statement(amount, unit, rules):
    try:
        once = rule_set(rules).contents(read_contents(f"{plain(amount)} {unit}"))
    except Refused:
        assume(False)
    again = rule_set(rules).contents(read_contents(str(once)))
    assert again.parts == once.parts
    assert again.binding == once.binding


@given(amounts)
def test_no_figure_is_more_than_what_was_typed(amount):
    for typed, exact in (
        (f"{amount} mL", amount),
        (f"{amount} fl oz", amount * MILLILITRES["floz"]),
    ):
        for rules in ("us", "eu", "uk", "ca"):
            made = rule_set(rules).contents(read_contents(typed))
            assert 0 < made.binding <= exact
            # Cut by less than a unit of the third figure: of the second below 100.
            assert made.binding > exact * Decimal("0.9")


@given(amounts, st.integers(1, 4))
def test_a_figure_that_was_cut_stays_when_cut_again(value, figures):
    once = cut(value, figures)
    assert once <= value
    assert cut(once, figures) == once
