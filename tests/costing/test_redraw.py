"""Stock drawn again by item: first in, first out, and the moving average (IAS 2.23-27).

The past comes from the random workshops of the roll-up's own laws; every lot of one
of three items. What left, and when, stays as it was.
"""

from collections import defaultdict
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.domain.redraw import redraw
from costing.domain.rollup import (
    NANO,
    BatchNode,
    Flow,
    LotNode,
    difference,
    roll_up,
)
from tests.costing.test_rollup_laws import SPLITTING, workshops

METHODS = ("lots", "fifo", "average")


def events_of(lots):
    """Each lot begins before its first flow; flows go by their numbers.

    The workshop numbers its flows as it books them, so a lot begins right before the
    first number that is its own, or at the end.
    """
    found = []
    for place, node in enumerate(lots):
        first = node.flows[0].id if node.flows else 10**9
        # A lot is opened in the order of its code, before any later entry.
        found.append((min(first, 10**9) - 0.5, place, node.code, None))
        found += [(flow.id, place, node.code, flow.id) for flow in node.flows]
    return [(code, flow) for *_, code, flow in sorted(found, key=lambda one: one[:2])]


def drawn(past, formula, items=3):
    lots, batches = past
    trials = {one.lot for one in batches if one.trial}
    pools = {
        node.code: f"trial {node.code}" if node.code in trials else f"item {n % items}"
        for n, node in enumerate(lots)
    }
    return redraw(lots, batches, events_of(lots), pools, lambda pool: formula), pools


@pytest.mark.parametrize("formula", METHODS)
@given(past=workshops())
def test_value_is_neither_made_nor_lost(past, formula):
    found, _ = drawn(past, formula)
    totals = found.valuation.totals
    assert difference(totals) == 0
    actual = roll_up(*past).totals
    for name in ("purchases", "opening", "making_cost"):
        assert getattr(totals, name) == getattr(actual, name)


@pytest.mark.parametrize("formula", METHODS)
@given(past=workshops())
def test_of_each_item_as_much_is_left_as_really_is(past, formula):
    lots, batches = past
    actual = roll_up(lots, batches)
    found, pools = drawn(past, formula)
    real, here = defaultdict(int), defaultdict(int)
    for code, value in actual.lots.items():
        real[pools[code]] += value.amount_left
    left = dict(pools)
    for node in found.lots:
        for flow in node.flows:
            if flow.batch and flow.batch.startswith("\0"):
                left[flow.batch] = left[node.code]
    for code, value in found.valuation.lots.items():
        here[left[code]] += value.amount_left
    assert real == here


@given(past=workshops())
def test_drawn_by_its_own_lots_it_is_the_book(past):
    found, _ = drawn(past, "lots")
    assert found.valuation.totals == roll_up(*past).totals


@given(past=workshops(SPLITTING), data=st.data())
def test_with_one_lot_an_item_every_formula_says_the_same(past, data):
    lots, _ = past
    formula = data.draw(st.sampled_from(METHODS))
    found, _ = drawn(past, formula, items=len(lots))
    assert found.valuation.totals == roll_up(*past).totals


# -- small pasts, worked by hand: cost in whole currency


def lot(code, amount, price, *flows, batch=None, expected=None):
    bought = {"x": price * NANO} if price else {}
    return LotNode(code, D(amount), bought, True, batch, expected, flows)


def flow(number, kind, amount, batch=None, sale=None):
    return Flow(number, kind, D(amount), batch, sale)


def begun(*order):
    """A code alone begins its lot; ("A", 3) is flow 3 of lot A."""
    return [(one, None) if isinstance(one, str) else one for one in order]


def totals_of(lots, batches, order, formula, pools=None):
    pools = pools or {node.code: "item" for node in lots}
    found = redraw(lots, batches, begun(*order), pools, lambda pool: formula)
    assert difference(found.valuation.totals) == 0
    return found.valuation.totals


# Ten of each of two lots, at 1.00 and at 3.00; the second is taken first.
TWO = [("fifo", 10, 30), ("average", 20, 20), ("lots", 30, 10)]


@pytest.mark.parametrize(("formula", "sold", "left"), TWO)
def test_which_lot_was_taken_matters_by_lots_alone(formula, sold, left):
    lots = [lot("A", 10, 10), lot("B", 10, 30, flow(1, "sold", -10, sale=1))]
    found = totals_of(lots, [], ["A", "B", ("B", 1)], formula)
    assert (found.cost_of_goods_sold, found.stock) == (sold * NANO, left * NANO)


def test_what_came_before_a_receipt_is_averaged_without_it():
    """Sold at 1.00 before the dear lot comes (IAS 2.27: at each receipt)."""
    lots = [lot("A", 10, 10, flow(1, "sold", -5, sale=1)), lot("B", 5, 25)]
    found = totals_of(lots, [], ["A", ("A", 1), "B"], "average")
    assert found.cost_of_goods_sold == 5 * NANO
    assert found.stock == 30 * NANO


@pytest.mark.parametrize("formula", ["fifo", "average"])
def test_what_comes_back_brings_what_it_left_with(formula):
    """Five at 1.00 are sold; five at 5.00 come; the five come back at 1.00."""
    lots = [
        lot("A", 5, 5, flow(1, "sold", -5, sale=1), flow(2, "returned", 5, sale=1)),
        lot("B", 5, 25),
    ]
    found = totals_of(lots, [], ["A", ("A", 1), "B", ("A", 2)], formula)
    assert (found.cost_of_goods_sold, found.stock) == (0, 30 * NANO)


@pytest.mark.parametrize("formula", ["fifo", "average"])
def test_a_label_that_comes_later_is_in_what_was_sold_before_it(formula):
    """Ten bottles of 10.00, five sold; then labels of 10.00 are put on: 2.00 each."""
    lots = [
        lot("SOAP", 10, 10, flow(1, "used", -10, "B")),
        lot("LABEL", 10, 10, flow(3, "used", -10, "B")),
        lot("BOTTLE", 10, 0, flow(2, "sold", -5, sale=1), batch="B"),
    ]
    pools = {node.code: node.code for node in lots}
    order = ["SOAP", "LABEL", ("SOAP", 1), "BOTTLE", ("BOTTLE", 2), ("LABEL", 3)]
    batches = [BatchNode("B", {}, "BOTTLE")]
    found = totals_of(lots, batches, order, formula, pools)
    assert (found.cost_of_goods_sold, found.stock) == (10 * NANO, 10 * NANO)


def in_a_circle():
    """M is made by B and goes whole into C, which makes X2. What B takes later was
    really X1; by the formula X1 was sold already, and it takes X2, made of M."""
    lots = [
        lot("RAW", 10, 10, flow(1, "used", -10, "B")),
        lot("M", 10, 0, flow(2, "used", -10, "C"), batch="B"),
        lot("X1", 10, 40, flow(4, "used", -10, "B")),
        lot("X2", 10, 0, flow(3, "sold", -10, sale=1), batch="C"),
    ]
    pools = {"RAW": "raw", "M": "m", "X1": "x", "X2": "x"}
    order = ["RAW", "X1", ("RAW", 1), "M", ("M", 2), "X2", ("X2", 3), ("X1", 4)]
    return lots, [BatchNode("B", {}, "M"), BatchNode("C", {}, "X2")], order, pools


@pytest.mark.parametrize("formula", ["fifo", "average"])
def test_what_would_be_made_from_itself_is_cost_of_what_was_sold(formula):
    """Common practice, no source: 50.00 came, nothing is left, all of it was sold."""
    lots, batches, order, pools = in_a_circle()
    assert difference(roll_up(lots, batches).totals) == 0
    found = totals_of(lots, batches, order, formula, pools)
    assert (found.cost_of_goods_sold, found.stock) == (50 * NANO, 0)


def test_a_reweighing_leaves_no_layer_empty_with_a_value():
    """A is drawn empty by the formula but for a milligram of weight."""
    lots = [
        lot("A", 10, 10, flow(2, "reweighed", "-9.999")),
        lot("B", 10, 30, flow(1, "sold", -10, sale=1)),
    ]
    found = totals_of(lots, [], ["A", "B", ("B", 1), ("A", 2)], "fifo")
    assert (found.cost_of_goods_sold, found.stock) == (10 * NANO, 30 * NANO)


def test_an_open_trial_is_drawn_from_itself_alone():
    found, pools = drawn(
        (
            [
                lot("T", 5, 0, flow(1, "given", -1), batch="B"),
                lot("S", 5, 5, flow(2, "sold", -1, sale=1)),
            ],
            [BatchNode("B", {"labour": 10 * NANO}, "T", trial=True)],
        ),
        "fifo",
        items=1,
    )
    assert pools["T"] != pools["S"]
    assert found.valuation.totals.development == 10 * NANO
    assert found.valuation.totals.cost_of_goods_sold == NANO
