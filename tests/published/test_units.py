"""Legal factors against what the offices of weights and measures publish.

Sources: NIST Handbook 44, Appendix C, section 4, and NIST SP 811, Appendix B.8
(figures marked there as exact); UK Weights and Measures Act 1985, Schedule 1,
Part IV (gallon 4.54609 cubic decimetres, quart a quarter of it, pint half a quart,
fluid ounce a twentieth of a pint) and Part V (pound 0.45359237 kilogram, ounce a
sixteenth of it). Part V was read in the Act, the imperial and US gallons where others
quote the Act and SP 811; the smaller measures are from memory, and are checked below
against the definitions that they follow from.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from production.quantities.domain.units import GRAMS, MILLILITRES, read_amount


@pytest.mark.parametrize(
    ("unit", "grams"),
    [("lb", "453.59237"), ("oz", "28.349523125"), ("kg", "1000"), ("mg", "0.001")],
)
def test_units_of_mass_are_the_exact_published_ones(unit, grams):
    assert GRAMS[unit] == Decimal(grams)


@pytest.mark.parametrize(
    ("unit", "millilitres"),
    [
        ("gal", "3785.411784"),
        ("qt", "946.352946"),
        ("pt", "473.176473"),
        ("floz", "29.5735295625"),
        ("impgal", "4546.09"),
        ("impqt", "1136.5225"),
        ("imppt", "568.26125"),
        ("impfloz", "28.4130625"),
    ],
)
def test_units_of_volume_are_the_exact_published_ones(unit, millilitres):
    assert MILLILITRES[unit] == Decimal(millilitres)


def test_a_us_gallon_is_231_cubic_inches_of_2_54_cm():
    assert Fraction(MILLILITRES["gal"]) == 231 * Fraction(254, 100) ** 3


@pytest.mark.parametrize(
    ("small", "count", "large"),
    [
        ("floz", 16, "pt"),
        ("pt", 2, "qt"),
        ("qt", 4, "gal"),
        ("impfloz", 20, "imppt"),
        ("imppt", 2, "impqt"),
        ("impqt", 4, "impgal"),
    ],
)
def test_measures_of_volume_nest_as_the_law_says(small, count, large):
    assert Fraction(MILLILITRES[small]) * count == Fraction(MILLILITRES[large])


def test_sixteen_ounces_are_a_pound():
    assert Fraction(GRAMS["oz"]) * 16 == Fraction(GRAMS["lb"])


@pytest.mark.parametrize(
    ("typed", "grams"),
    [
        ("1000 lb", "453592.370"),
        ("1000 oz", "28349.523"),
        ("1000 gal", "3785411.784"),
        ("1000 fl oz", "29573.530"),
        ("1000 imp gal", "4546090.000"),
        ("1000 imp fl oz", "28413.063"),  # 28413.0625, half up
    ],
)
def test_a_typed_thousand_carries_the_published_digits(typed, grams):
    assert read_amount(typed, density=Decimal(1)).grams_or_pieces == Decimal(grams)
