"""Delivered cost: how a charge falls on the lines of its invoice."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.buying.domain.bills import (
    ExtraCost,
    LineBasis,
    delivered,
    lacking,
    split_extra,
)
from production.quantities.domain.numbers import share_units
from production.quantities.domain.refusal import Refused


def freight(amount, by="weight"):
    return ExtraCost("freight", D(amount), by)


def line(value="1", weight="1", quantity="1"):
    return LineBasis(
        None if value is None else D(value),
        None if weight is None else D(weight),
        D(quantity),
    )


def test_cents_left_over_go_to_the_largest_remainders():
    # 10.00 x 1/7, 2/7, 4/7 = 1.428…, 2.857…, 5.714…: two cents are left over.
    shares = split_extra(freight("10"), [line(weight=w) for w in ("1", "2", "4")])
    assert shares == [D("1.43"), D("2.86"), D("5.71")]


def test_a_tie_goes_to_the_lowest_line():
    assert split_extra(freight("0.01"), [line(), line()]) == [D("0.01"), D("0")]


def test_a_credit_is_the_mirror_image_of_a_charge():
    lines = [line(weight=w) for w in ("1", "2", "4")]
    charge = split_extra(freight("10"), lines)
    credit = split_extra(freight("-10"), lines)
    assert credit == [-share for share in charge]


@pytest.mark.parametrize(
    ("by", "lines"),
    [
        ("weight", [line("1", "0", "9"), line("3", "0", "9")]),
        ("value", [line("0", "3", "9"), line("0", "1", "9")]),
        ("quantity", [line("9", "3", "0"), line("9", "1", "0")]),
    ],
)
def test_what_adds_up_to_nothing_shares_nothing_and_no_other_basis_steps_in(by, lines):
    assert split_extra(freight("4", by), lines) is None
    assert lacking(freight("4", by), lines) == (0, 1)


def test_one_unknown_weight_is_asked_for_and_value_does_not_step_in():
    lines = [line("1", None), line("3", "1000")]
    assert split_extra(freight("4"), lines) is None
    assert lacking(freight("4"), lines) == (0,)


@pytest.mark.parametrize("by", ["weight", "value", "quantity"])
def test_one_line_carries_it_all_and_is_asked_nothing(by):
    assert split_extra(freight("4", by), [line(None, None)]) == [D("4")]


def test_nothing_is_shared_without_a_question():
    assert split_extra(freight("0"), [line("1", None), line()]) == [D("0"), D("0")]


def test_an_unknown_price_makes_shares_by_value_unknown():
    lines = [line(None), line()]
    assert split_extra(freight("4", "value"), lines) is None
    assert lacking(freight("4", "value"), lines) == (0,)


def test_an_unknown_price_does_not_touch_a_split_by_weight():
    shares = split_extra(freight("4"), [line(None, "1"), line("5", "3")])
    assert shares == [D("1"), D("3")]


def test_money_finer_than_a_cent_is_split_finer_than_a_cent():
    shares = split_extra(freight("10.0001"), [line(), line(), line()])
    assert shares == [D("3.3334"), D("3.3334"), D("3.3333")]


def test_a_charge_on_no_lines_is_refused():
    with pytest.raises(Refused, match="Put a line on the invoice"):
        split_extra(freight("4"), [])


def test_tax_that_does_not_come_back_is_cost():
    assert delivered(D("4.00"), D("0.33"), [D("9.04")]) == D("13.37")


def test_an_unknown_price_or_share_makes_an_unknown_cost():
    assert delivered(None, D("0.33"), [D("9.04")]) is None
    assert delivered(D("4"), D("0.33"), [D("9.04"), None]) is None


def test_a_line_that_came_as_several_lots_shares_its_last_nano():
    assert share_units(100, [D("2"), D("2"), D("2")]) == [34, 33, 33]


ten_thousandths = st.integers(-(10**8), 10**8).map(lambda n: D(n).scaleb(-4))
amounts = st.integers(0, 10**7).map(lambda n: D(n).scaleb(-3))
bases = st.builds(LineBasis, amounts, st.none() | amounts, amounts)


@given(
    amount=ten_thousandths,
    by=st.sampled_from(["value", "weight", "quantity"]),
    lines=st.lists(bases, min_size=1, max_size=8),
)
def test_shares_add_up_to_the_charge_and_keep_its_sign(amount, by, lines):
    extra = ExtraCost("duty", amount, by)
    shares = split_extra(extra, lines)
    if lacking(extra, lines) is not None:
        assert shares is None
        return
    assert sum(shares) == amount
    assert all(share * amount >= 0 for share in shares)
