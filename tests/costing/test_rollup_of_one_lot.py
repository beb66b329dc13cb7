"""What returns, counts and moves do to the value of a lot, worked by hand."""

from decimal import Decimal as D
from fractions import Fraction

import pytest

from costing.domain.rollup import LotNode, difference, roll_up
from production.quantities.domain.refusal import Refused
from tests.costing.flows import batch, bought, flow, made, nano


def test_returns_that_bring_back_everything_bring_back_every_nano():
    lot = LotNode(
        "L",
        D(7),
        {"oil": 101},
        True,
        None,
        None,
        (
            flow(1, "sold", "-3", sale=1),
            flow(2, "returned", "1", sale=1),
            flow(3, "returned", "1", sale=1),
            flow(4, "returned", "1", sale=1),
        ),
    )
    valuation = roll_up([lot], [])
    assert valuation.totals.cost_of_goods_sold == 0
    assert valuation.lots["L"].left == {"oil": 101}
    assert valuation.lots["L"].amount_left == 7


def test_a_return_comes_back_at_the_cost_it_was_sold_at():
    lot = bought(
        "F",
        "10",
        "12.50",
        flow(1, "sold", "-10", sale=1),
        flow(2, "returned", "2", sale=1),
    )
    value = roll_up([lot], []).lots["F"]
    assert value.taken[2] == {"oil": -nano("2.50")}
    assert value.left == {"oil": nano("2.50")}
    assert value.unit_cost == Fraction(5, 4)


def test_two_sale_lines_of_one_lot_take_back_their_own_cost():
    lot = bought(
        "F",
        "4",
        "8",
        flow(1, "sold", "-2", sale=1),
        flow(2, "reweighed", "2"),
        flow(3, "sold", "-2", sale=2),
        flow(4, "returned", "1", sale=2),
        flow(5, "returned", "1", sale=1),
    )
    taken = roll_up([lot], []).lots["F"].taken
    assert taken[4] == {"oil": -nano("1")}
    assert taken[5] == {"oil": -nano("2")}


@pytest.mark.parametrize(
    "returns",
    [
        [flow(3, "returned", "3", sale=1)],
        [flow(3, "returned", "1", sale=1), flow(4, "returned", "2", sale=1)],
        [flow(3, "returned", "1", sale=2)],
    ],
)
def test_taking_back_more_than_was_sold_is_refused(returns):
    lot = bought("F", "4", "8", flow(1, "sold", "-2", sale=1), *returns)
    with pytest.raises(Refused, match="More of lot F came back"):
        roll_up([lot], [])


def test_a_shortage_is_a_loss_and_a_surplus_a_negative_one():
    lot = bought("L", "10", "20", flow(1, "counted", "-2"), flow(2, "counted", "1"))
    valuation = roll_up([lot], [])
    assert valuation.totals.counted == nano("2")
    assert valuation.lots["L"].left == {"oil": nano("18")}
    assert difference(valuation.totals) == 0


def test_a_surplus_of_an_empty_lot_carries_its_last_rate():
    lot = bought(
        "L",
        "10",
        "20",
        flow(1, "discarded", "-5"),
        flow(2, "reweighed", "-1"),
        flow(3, "discarded", "-4"),
        flow(4, "counted", "2"),
    )
    value = roll_up([lot], []).lots["L"]
    # 10.00 on the last 4 g: 2.50 a gram.
    assert value.taken[4] == {"oil": -nano("5")}
    assert value.unit_cost == Fraction(5, 2)


def test_a_surplus_of_what_was_never_made_has_an_unknown_cost():
    lot = made("P", "0", "B", flow(1, "counted", "3"))
    value = roll_up([lot], [batch("B", "P")]).lots["P"]
    assert value.missing == {"P"}
    assert value.unit_cost is None


def test_reweighing_changes_the_amount_and_not_the_value():
    lot = bought("P", "10", "20", flow(1, "reweighed", "-2"), flow(2, "given", "-2"))
    valuation = roll_up([lot], [])
    assert valuation.totals.given == nano("5")
    assert valuation.lots["P"].left == {"oil": nano("15")}
    assert valuation.lots["P"].unit_cost == Fraction(5, 2)


def test_reweighing_to_nothing_is_refused():
    with pytest.raises(Refused, match="discard it instead"):
        roll_up([bought("P", "10", "20", flow(1, "reweighed", "-10"))], [])


def test_what_a_supplier_got_back_is_no_loss_and_no_cost_of_sales():
    # Of 10 g for 20.00 the supplier gets 4 g back: 8.00 at its cost, whatever he
    # credits for it. Common practice, no source: a return to a supplier lowers what was
    # bought, and is neither sold nor lost.
    lot = bought("L", "10", "20", flow(1, "sold", "-1"), flow(2, "sent back", "-4"))
    valuation = roll_up([lot], [])
    totals = valuation.totals
    assert totals.sent_back == nano("8")
    assert (totals.losses, totals.cost_of_goods_sold) == (0, nano("2"))
    assert valuation.lots["L"].left == {"oil": nano("10")}
    assert difference(totals) == 0


def test_moving_a_lot_costs_nothing():
    lot = bought("P", "10", "20", flow(1, "moved", "-4"), flow(2, "moved", "4"))
    value = roll_up([lot], []).lots["P"]
    assert (value.amount_left, value.left) == (D(10), {"oil": nano("20")})
