"""Amounts as people type them."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import read_amount

MILLIGRAMS = st.integers(1, 10**10).map(lambda count: Decimal(count).scaleb(-3))


@pytest.mark.parametrize(
    ("typed", "grams"),
    [
        ("250", "250"),
        ("250*12", "3000"),
        ("12 x 250 g", "3000"),
        ("2 lb 3 oz * 4", "3968.933"),
        ("1.5 kg", "1500"),
        ("1.5KG", "1500"),
        (".5 kg", "500"),
        ("0.0005 g", "0.001"),
        ("350 mg", "0.350"),
        ("16 oz", "453.592"),
        ("1 lb", "453.592"),
        ("2 lb 3 oz", "992.233"),
        ("2lb3oz", "992.233"),
        ("2 lbs, 3 Ounces.", "992.233"),
        ("2 lb .5 oz", "921.360"),
        ("1,5 kg", "1500"),
        ("0,500 kg", "500"),
        ("1,234.5 g", "1234.5"),
        ("1.234,5 g", "1234.5"),
        ("1,234,567 g", "1234567"),
        ("1 500 g", "1500"),
        ("1\u202f234.5 g", "1234.5"),
        ("1'234 g", "1234"),
        ("1/2 lb", "226.796"),
        ("\u00bd lb", "226.796"),
        ("1 1/2 kg", "1500"),
        ("2 lb 1\u00bd oz", "949.709"),
        ("1.234.567 g", "1234567"),
    ],
)
def test_a_typed_weight_becomes_grams(typed, grams):
    assert read_amount(typed).grams_or_pieces == Decimal(grams)


@pytest.mark.parametrize(
    ("typed", "grams"),
    [
        ("500 mL", "460"),
        ("1 l", "920"),
        ("10 fl oz", "272.076"),
        ("10 FLOZ", "272.076"),
        ("10 fl. oz.", "272.076"),
        ("10 fluid ounces", "272.076"),
        ("2 gal", "6965.158"),
        ("2 US gal", "6965.158"),
        ("1 qt 1 pt", "1305.967"),
        ("75 cL", "690"),
        ("1 imp gal", "4182.403"),
        ("1 imp. pint", "522.800"),
        ("1 imp fl oz", "26.140"),
    ],
)
def test_a_typed_volume_becomes_grams_by_the_density(typed, grams):
    amount = read_amount(typed, density=Decimal("0.92"))
    assert amount.grams_or_pieces == Decimal(grams)


def test_what_was_typed_is_kept():
    assert read_amount(" 2 lb 3 oz ").typed == "2 lb 3 oz"


def test_grams_have_three_places():
    assert str(read_amount("250").grams_or_pieces) == "250.000"


@pytest.mark.parametrize(
    ("typed", "pieces"),
    [("250", 250), ("250*12", 3000), ("40 pcs", 40), ("12 * 0.5", 6), ("7.0", 7)],
)
def test_a_counted_item_is_read_in_pieces(typed, pieces):
    assert read_amount(typed, unit="piece").grams_or_pieces == pieces


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("2.5", "2.5 is not a whole number of pieces"),
        ("40 g", "counted in pieces"),
        ("40 pcs 2 pcs", "counted in pieces"),
        ("", "such as 40"),
        ("0", "above zero"),
    ],
)
def test_a_counted_item_refuses_what_is_not_a_count(typed, sentence):
    with pytest.raises(Refused, match=sentence):
        read_amount(typed, unit="piece")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Write an amount, such as 250 g"),
        ("  ", "Write an amount"),
        ("-5 g", "without the minus"),
        ("\u22125 g", "without the minus"),
        ("0 g", "above zero"),
        ("0.0004 g", "less than 0.001 g"),
        ("1,500 g", "Write 1500 or 1.5"),
        ("2 lb 12,000 oz", "Write 12000 or 12"),
        ("1,50,0 g", "not a number"),
        ("1.2.3 g", "not a number"),
        ("5. g", "not a number"),
        ("plenty", "not an amount"),
        ("2 lb.5 oz", "not an amount"),
        ("3-4 kg", "not an amount"),
        ("*5", "not an amount"),
        ("\u0662 g", "figures as 0 to 9"),
        ("10\u00b2 g", "write the number out"),
        ("1/3 lb", "no end as a decimal"),
        ("1, 500 g", "not a number"),
        ("1e3", "without a unit"),
        ("2 lb 3", "without a unit"),
        ("15 00 g", "without a unit"),
        ("3 stone", "stone is not a unit"),
        ("3 t", "t is not a unit"),
        ("1 imp lb", "imp lb is not a unit"),
        ("2 g * 3 g", "multiplies two amounts"),
        ("9999999 kg", "check the unit"),
        ("9" * 60, "more figures than anything"),
        ("9" * 61, "too long"),
    ],
)
def test_nonsense_is_refused_with_a_sentence(typed, sentence):
    with pytest.raises(Refused, match=sentence):
        read_amount(typed)


@pytest.mark.parametrize("density", [None, Decimal(0)])
def test_a_volume_asks_for_the_density(density):
    with pytest.raises(Refused, match="needs the material's density"):
        read_amount("500 mL", density=density)


def test_weight_and_volume_do_not_mix():
    with pytest.raises(Refused, match="mixes weight and volume"):
        read_amount("1 lb 3 fl oz", density=Decimal(1))


@given(st.text(max_size=70) | st.text("0123456789.,*xlbozgmkfi -", max_size=70))
def test_any_text_is_an_amount_above_zero_or_a_refusal(typed):
    try:
        amount = read_amount(typed, density=Decimal("0.9123"))
    except Refused:
        return
    assert amount.grams_or_pieces > 0
