"""Variances and pricing against textbooks, a lecture and identities.

Signs: actual minus standard, positive is unfavourable (U), negative favourable (F).
Each test names the case and the source of its figures.
"""

from decimal import Decimal as D
from fractions import Fraction as F

import pytest

from costing.domain.pricing import (
    Step,
    break_even,
    contribution_ratio,
    keystone,
    margin_from,
    margin_of,
    markup_from,
    markup_of,
    price_for_margin,
    profit_at,
)
from costing.domain.variances import (
    Put,
    label,
    mix_variance,
    price_variance,
    total,
    usage_variance,
    why,
    yield_variance,
)


def test_c29_a_lower_price_is_favourable():
    """OpenStax Principles of Accounting vol. 2, 8.2 (Connie's Candy)."""
    amount = price_variance(D("6.00"), D("7.00"), 20)
    assert (amount, label(amount)) == (-20, "F")


def test_c30_material_of_one_piece():
    """OpenStax vol. 2, 8.2 (Connie's Candy): price 1.00 U, usage 1.75 U, 2.75 U."""
    found = why(
        {"sugar": Put("material", F("0.25"), F("0.25") * 7)},
        {"sugar": Put("material", F("0.50"), F("0.50") * 9)},
    )
    assert [(one.kind, one.amount, one.label) for one in found] == [
        ("price", F("1.00"), "U"),
        ("usage", F("1.75"), "U"),
    ]
    assert total(found) == F("2.75")


def test_c31_material_of_a_batch():
    """OpenStax vol. 2, 8.2 (Biglow Company shampoo): 890 F, 850 U, 40 F."""
    paid, used, made = D("74760"), 89000, 11000
    price = price_variance(paid / used, D("0.85"), used)
    usage = usage_variance(used, 8 * made, D("0.85"))
    assert paid / used == D("0.84")
    assert (price, label(price)) == (-890, "F")
    assert (usage, label(usage)) == (850, "U")
    assert (price + usage, label(price + usage)) == (-40, "F")


def test_c32_labour_of_a_batch():
    """OpenStax vol. 2, 8.3 (Biglow Company shampoo), by its own inputs; the book once
    prints 5,650 U for the rate and calls the total of 11,900 U."""
    rate = price_variance(D("565600") / 16000, D("35"), 16000)
    efficiency = usage_variance(16000, D("1.5") * 11000, D("35"))
    assert D("565600") / 16000 == D("35.35")
    assert (rate, label(rate)) == (5600, "U")
    assert (efficiency, label(efficiency)) == (-17500, "F")
    assert (rate + efficiency, label(rate + efficiency)) == (-11900, "F")


def test_c33_labour_of_one_piece():
    """OpenStax vol. 2, 8.3 (Connie's Candy): rate 0.30, efficiency 0.80, 1.10 U."""
    found = why(
        {"hours": Put("labour", F("0.10"), F("0.10") * 8)},
        {"hours": Put("labour", F("0.20"), F("0.20") * F("9.50"))},
    )
    assert [(one.kind, one.amount) for one in found] == [
        ("labour rate", F("0.30")),
        ("labour efficiency", F("0.80")),
    ]
    assert (total(found), label(total(found))) == (F("1.10"), "U")


def test_c34_mix_and_yield_of_two_materials():
    """Published UK management-accounting note (steel example): 20 units of 15 kg and
    10 kg at 7.00 and 8.00, used 370 kg and 180 kg."""
    actual = {"m1": F(370), "m2": F(180)}
    shares = {"m1": F(15, 25), "m2": F(10, 25)}
    prices = {"m1": F(7), "m2": F(8)}
    mix = mix_variance(actual, shares, prices)
    yielded = yield_variance(550, 20 * 25, shares, prices)
    assert (mix, label(mix)) == (-40, "F")
    assert (yielded, label(yielded)) == (370, "U")
    usage = usage_variance(370, 300, 7) + usage_variance(180, 200, 8)
    assert (usage, label(usage)) == (330, "U")
    assert mix + yielded == usage


def test_c35_mix_and_yield_of_a_process():
    """University lecture AF3112 (mix and yield): 300 t made at 1.6 t each, 60 % at
    200.00 and 40 % at 100.00, used 275 t and 225 t."""
    actual, shares = {"A": F(275), "B": F(225)}, {"A": F("0.6"), "B": F("0.4")}
    prices = {"A": F(200), "B": F(100)}
    mix = mix_variance(actual, shares, prices)
    yielded = yield_variance(500, 300 * F("1.6"), shares, prices)
    assert (mix, label(mix)) == (-2500, "F")
    assert (yielded, label(yielded)) == (3200, "U")
    assert (mix + yielded, label(mix + yielded)) == (700, "U")


def test_c35_the_same_told_of_two_lots():
    """The same example as two lots of oils, at unchanged prices."""
    found = why(
        {"A": Put("oil", F(288), F(288) * 200), "B": Put("oil", F(192), F(192) * 100)},
        {"A": Put("oil", F(275), F(275) * 200), "B": Put("oil", F(225), F(225) * 100)},
    )
    assert [(one.kind, one.amount) for one in found] == [
        ("mix", -2500),
        ("yield", 3200),
    ]


@pytest.mark.parametrize(("pieces", "profit"), [(175, -4000), (225, 0), (300, 6000)])
def test_c42_break_even(pieces, profit):
    """OpenStax vol. 2, 3.1 and 3.2 (Hicks Manufacturing, Blue Jay)."""
    each = D("100") - D("20")
    found = break_even(100, each, 18000)
    assert contribution_ratio(each, 100) == F("0.80")
    assert (found.pieces, found.revenue) == (225, 22500)
    assert profit_at(pieces, each, 18000) == profit


def test_c43_whole_bottles_round_up():
    """Own example: 8.00 less 3.10, fixed costs 250.00."""
    found = break_even(D("8.00"), D("4.90"), D("250.00"))
    assert (found.exact, found.pieces) == (F(2500, 49), 52)
    # What the whole bottles bring: 52 at 8.00.
    assert found.revenue == 416


def test_c44_a_markup_of_100_percent_is_a_margin_of_50():
    """markup = (p - c) / c, margin = (p - c) / p, margin = markup / (1 + markup)."""
    assert (markup_of(4, 8), margin_of(4, 8)) == (1, F(1, 2))
    assert margin_from(1) == F(1, 2)


def test_c45_a_price_for_a_wanted_margin():
    """The same identities: 1.2896 at 40 %."""
    exact = price_for_margin(D("1.2896"), D("0.40"))
    assert exact == F(806, 375)
    assert Step().up(exact) == D("2.15")
    assert round(markup_from(D("0.40")), 4) == F("0.6667")


def test_c46_doubled_and_doubled_again():
    """Common practice, no source."""
    assert keystone(D("2.35")) == (F("4.70"), F("9.40"))
