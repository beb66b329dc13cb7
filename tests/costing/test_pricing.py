"""Prices, channels and what they leave: laws, and the ways in which they refuse.

Where nothing else is named: identities of the words, common practice, no source.
"""

from decimal import Decimal as D
from fractions import Fraction as F

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from costing.domain.channels import Channel, sold
from costing.domain.pricing import (
    Step,
    break_even,
    margin_from,
    margin_of,
    markup_from,
    markup_of,
    price_for_margin,
    profit_at,
    variable_cost,
)
from production.quantities.domain.refusal import Refused

MONEY = st.decimals(D("0.01"), D("500"), places=4).map(F)
SHARES = st.decimals(0, D("0.99"), places=4).map(F)
SMALL = st.decimals(0, D("0.3"), places=4).map(F)
STEPS = st.sampled_from(
    [Step(), Step(D("0.05")), Step(D("0.50")), Step(D(1), D("0.95")), Step(D(10), D(9))]
)
PARTS = st.fixed_dictionaries(
    {"oil": MONEY, "packaging": MONEY, "labour": MONEY, "overhead": MONEY}
)
CHANNELS = st.builds(
    Channel,
    percent=SMALL,
    consignment=SMALL,
    payment=SMALL,
    fixed=MONEY,
    shipping=MONEY,
    payment_fixed=MONEY,
    pieces_per_order=st.integers(1, 40).map(F),
    stall_fee=MONEY,
    pieces_a_day=st.integers(1, 200).map(F),
    tax=st.sampled_from([F(0), F("0.0825"), F("0.19"), F("0.25")]),
    tax_inside=st.booleans(),
    step=STEPS,
)


@given(SHARES)
def test_a_margin_comes_back_from_its_markup(margin):
    assert margin_from(markup_from(margin)) == margin


@given(MONEY, MONEY)
def test_markup_and_margin_of_a_price_are_each_other(cost, price):
    assert margin_from(markup_of(cost, price)) == margin_of(cost, price)


@given(MONEY, SHARES, STEPS)
def test_a_price_gives_at_least_the_margin_wanted(cost, margin, step):
    price = step.up(price_for_margin(cost, margin))
    assert margin_of(cost, price) >= margin
    assert (price - step.ending) % step.step == 0


@given(MONEY, STEPS)
def test_a_step_goes_up_by_less_than_itself(price, step):
    assume(price >= step.ending)
    assert 0 <= F(step.up(price)) - price < F(step.step)


@given(MONEY, MONEY, MONEY)
def test_the_fixed_costs_are_covered_at_break_even_and_not_one_before(net, each, fixed):
    found = break_even(net, each, fixed)
    assert profit_at(found.pieces, each, fixed) >= 0
    assert profit_at(found.pieces - 1, each, fixed) < 0
    assert found.revenue == found.pieces * net


@given(CHANNELS, MONEY, PARTS)
def test_what_everybody_takes_adds_up_to_the_price(channel, price, parts):
    one = sold(channel, price, parts)
    left = one.contribution
    assert sum(one.taken.values()) + variable_cost(parts) + left == price
    assert one.selling == channel.net(price) - left - variable_cost(parts)


@given(CHANNELS, PARTS, SHARES)
def test_a_price_leaves_the_margin_after_the_channel(channel, parts, margin):
    assume(margin < channel.leaves)
    cost = sum(parts.values())
    price = channel.price_for_margin(cost, margin)
    assert sold(channel, price, parts).margin == margin
    assert sold(channel, channel.step.up(price), parts).margin >= margin


@given(CHANNELS, PARTS, st.integers(0, 5).map(F))
def test_a_price_leaves_the_markup_after_the_channel(channel, parts, markup):
    cost = sum(parts.values())
    one = sold(channel, channel.price_for_markup(cost, markup), parts)
    assert markup_of(cost, one.net - one.selling) == markup


def test_without_channel_costs_a_price_is_that_of_the_margin_alone():
    assert Channel().price_for_margin(D("1.2896"), D("0.4")) == F(806, 375)


def test_a_shop_on_consignment_by_hand():
    """8.95 with 19 % tax in it, the shop keeps 40 % of what is without tax: 8.95 /
    1.19 = 7.5210, of which 3.0084 is the shop's; 4.5126 less 1.60 of bottle, soap and
    work leave 2.9126."""
    shop = Channel(consignment=F("0.4"), tax=F("0.19"), tax_inside=True)
    one = sold(shop, D("8.95"), {"oil": F("1.60"), "overhead": F("0.50")})
    assert round(one.net, 4) == F("7.5210")
    assert round(one.taken["shop's share"], 4) == F("3.0084")
    assert round(one.contribution, 4) == F("2.9126")
    assert round(one.margin * one.net, 4) == F("2.4126")


def test_a_stall_by_hand():
    """9.00, a stall of 45.00 a day that sells 30: 1.50 each; card 2 % and 0.20 for an
    order of two pieces: 0.18 + 0.10. 9.00 - 1.78 - 2.00 = 5.22, in 0.1 h 52.20."""
    stall = Channel(
        payment=F("0.02"),
        payment_fixed=F("0.20"),
        pieces_per_order=F(2),
        stall_fee=F(45),
        pieces_a_day=F(30),
    )
    one = sold(stall, 9, {"oil": F(2)})
    assert one.taken == {"payment": F("0.28"), "stall": F("1.50")}
    assert one.contribution == F("5.22")
    assert one.per_hour(F("0.1")) == F("52.2")
    assert one.per_hour(None) is None


def test_overhead_is_in_the_margin_and_not_in_the_contribution():
    """OpenStax Principles of Accounting vol. 2, 3.1: contribution is the price less
    variable cost."""
    one = sold(Channel(), 10, {"oil": F(3), "labour": F(1), "overhead": F(2)})
    assert (one.contribution, one.margin) == (6, F("0.4"))


@pytest.mark.parametrize(
    ("step", "price", "asked"),
    [
        (Step(D("0.05")), "2.1493", "2.15"),
        (Step(D("0.05")), "2.15", "2.15"),
        (Step(D("0.50")), "2.1493", "2.50"),
        (Step(D(1), D("0.95")), "2.1493", "2.95"),
        (Step(D(1), D("0.95")), "2.96", "3.95"),
        (Step(D(1), D("0.95")), "0.10", "0.95"),
        (Step(D("0.05")), "0", "0.05"),
    ],
)
def test_a_price_is_rounded_up_to_the_prices_that_are_asked(step, price, asked):
    assert step.up(D(price)) == D(asked)


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (lambda: price_for_margin(1, 1), "a margin.*100 % would leave nothing"),
        (lambda: markup_from(F("1.2")), "120 % would leave nothing"),
        (lambda: margin_of(1, 0), "price above zero"),
        (lambda: markup_of(0, 1), "costs nothing has no markup"),
        (lambda: margin_from(-1), "gives the goods away"),
        (lambda: Step(D(0)), "more than nothing"),
        (lambda: Step(D("0.5"), D("0.95")), "the step is 1 and the ending 0.95"),
        (lambda: break_even(5, 0, 100), "costs more than it brings"),
        (lambda: break_even(5, 1, -1), "not below zero"),
        (lambda: Channel("Shop", consignment=F(1)), "Shop takes 100 % of every price"),
        (
            lambda: Channel("Web", percent=F("0.9"), payment=F("0.1"), tax=F("0.2")),
            "Web takes 102 %",
        ),
        (lambda: Channel(pieces_per_order=F(0)), "at least one piece"),
        (lambda: Channel(stall_fee=F(1), pieces_a_day=F(0)), "how many pieces a day"),
        (
            lambda: Channel("Shop", consignment=F("0.5")).price_for_margin(1, F("0.6")),
            "Shop leaves 50 % .* margin of 60 % cannot be had",
        ),
        (lambda: sold(Channel(), 0, {}), "more than nothing"),
    ],
)
def test_what_cannot_be_is_said_in_plain_words(act, says):
    with pytest.raises(Refused, match=f"(?i){says}"):
        act()
