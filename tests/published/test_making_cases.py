"""Overhead against a textbook and the standard.

OpenStax Principles of Accounting vol. 2 (Managerial), 4.4 and 4.6, Dinosaur Vinyl
(CC BY-NC-SA 4.0); IAS 2.13. Normal and abnormal losses stand in ``test_costing.py``.
"""

from datetime import date
from decimal import Decimal as D

import pytest

from costing.domain.rollup import NANO, BatchNode, Flow, LotNode, roll_up
from production.batches.reads.overhead import YearOverhead
from production.models import Overhead, OverheadPaid, Work
from production.workshop.domain.rates import hourly, lowered, share_overhead

DAY = date(2026, 1, 31)


def test_c36_a_predetermined_rate_is_applied_to_a_job():
    """4.4: overhead of 250,000 over labour of 100,000; a job of 66 and 700.

    The book shares by money of labour where we take hours: the unit is free. It has
    interest in overhead, which IAS 2.17 leaves out of goods made repetitively.
    """
    rate = hourly(D(250000), D(100000))
    assert rate == D("2.50")
    applied = Work(kind="overhead", hours=D(66), rate=rate).cost
    assert applied == 165
    nano = {"labour": 66 * NANO, "overhead": int(applied * NANO)}
    lot = LotNode("JOB", D(1), {}, True, "B", None, ())
    went = (Flow(1, "used", D(-1), "B"),)
    goods = LotNode("GOODS", D(1), {"material": 700 * NANO}, True, None, None, went)
    value = roll_up([goods, lot], [BatchNode("B", nano, "JOB")])
    assert value.lots["JOB"].unit_cost == 931


def year(applied, actual=None, budget=None):
    return YearOverhead(
        year=2025,
        day=DAY,
        budget=None if budget is None else Overhead(budget=D(budget), normal=D(1)),
        paid=None if actual is None else OverheadPaid(year=2025, actual=D(actual)),
        hours=D(0),
        applied=D(applied),
        stayed_without=D(0),
    )


@pytest.mark.parametrize(
    ("actual", "unshared", "too_much"), [(256500, 6500, 0), (248000, -2000, 2000)]
)
def test_c37_what_is_left_at_the_end_of_a_year(actual, unshared, too_much):
    """4.6: 250,000 was applied; under-applied is an expense, over-applied is not."""
    found = year(250000, actual)
    assert (found.unshared, found.too_much) == (unshared, too_much)


@pytest.mark.parametrize(
    ("made", "rate", "absorbed", "expensed"),
    [(180, 5, 900, 300), (240, 5, 1200, 0), (300, 4, 1200, 0)],
)
def test_c38_normal_capacity(made, rate, absorbed, expensed):
    """IAS 2.13: 1,200 a month over 240 bottles; derived from the clause."""
    found = share_overhead(D(1200), D(240), D(made))
    assert (found.rate, found.applied, found.expensed) == (rate, absorbed, expensed)
    # What batches bore at the rate of normal capacity, once the month is stated.
    normal = hourly(D(1200), D(240))
    assert lowered(normal, D(1200), normal * made) == rate


def test_a_lowered_rate_never_rises_and_never_shares_too_much():
    """IAS 2.13: no more than the actual cost; 100 over 7 has no end."""
    assert lowered(D(5), D(1000), D(900)) == 5
    assert 7 * lowered(D(20), D(100), D(140)) <= 100
    assert 7 * (lowered(D(20), D(100), D(140)) + D("0.0001")) > 100
