"""Stock drawn again by item: first in, first out, and the moving average (IAS 2.23-27).

The past comes from the random workshops of the roll-up's own laws; every lot of one
of three items. What left, and when, stays as it was.
"""

from collections import defaultdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing.domain.redraw import redraw
from costing.domain.rollup import difference, roll_up
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
