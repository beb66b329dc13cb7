"""A planned cost, worked by hand: nothing is assumed, and the lines add up."""

from decimal import Decimal as D
from fractions import Fraction

import pytest

from costing.domain.planned import PlannedCost, Price, beside, less, plan_cost
from production.domain.numbers import money
from production.domain.refusal import Refused
from production.domain.scaling.goods import Material, Published
from production.domain.scaling.plans import CookPlan, FillingPlan, Line, Lye, SharePlan

OIL = Material(1, "Rapeseed oil", category="oil", oil=Published(D(190), D(180), D(200)))
POTASH = Material(2, "Potassium hydroxide", category="alkali", alkali="KOH")
WATER = Material(3, "Tap water", category="water", on_tap=True)
PASTE = Material(4, "Paste", kind="made")
SALT = Material(5, "Salt", category="salt")
BOTTLE = Material(6, "Bottle", unit="piece", kind="packaging")


def price(text, source="L1"):
    return Price(Fraction(text), source)


PRICES = {
    1: price("0.006"),
    2: price("0.005", "K1"),
    3: price("0.000002", ""),
    4: price("0.004", "P1"),
    5: price("0.001"),
    6: price("0.50"),
}
COOK = CookPlan(
    oils=(Line(OIL, D(1)),),
    superfat=D(0),
    water_per_alkali=D(2),
    lyes=(Lye(POTASH, D("0.9")),),
)


def costs(plan):
    return {line.item.name: line.cost for line in plan.lines}


def test_a_cook_by_hand():
    """1,000 g at 190 mg/g take 190 g of pure KOH, 211.111 g at 90 %, 422.222 g water.

    6.00 + 1.055556 + 0.000844 = 7.0564 for 1,000 g of oils, which make 1,633.333 g.
    """
    plan = plan_cost(COOK, PRICES, WATER)
    assert plan.per_oils == D("7.0564")
    assert costs(plan) == {
        "Rapeseed oil": D("3.6735"),
        "Potassium hydroxide": D("0.6463"),
        "Tap water": D("0.0005"),
    }
    assert plan.total == D("4.3203")
    assert [line.share for line in plan.lines] == [1, None, None]


def test_what_boils_off_makes_the_rest_dearer():
    """10 % of 1,633.333 g is steam: 7.0564 for 1,470 g."""
    plan = plan_cost(COOK, PRICES, WATER, D("0.1"))
    assert money(plan.total) == D("4.8003")
    assert plan.per_oils == D("7.0564")


def test_shares_leave_the_rest_to_water_and_a_loss_is_made_up_for():
    """For 1,000 g 1,250 g are mixed: 500 g of paste, 25 g of salt, 725 g of water."""
    recipe = SharePlan((Line(PASTE, D("0.4")), Line(SALT, D("0.02"))))
    plan = plan_cost(recipe, PRICES, WATER, D("0.2"))
    assert [line.amount for line in plan.lines] == [500, 25, 725]
    assert costs(plan) == {
        "Paste": D("2.0000"),
        "Salt": D("0.0250"),
        "Tap water": D("0.0015"),
    }
    assert plan.total == D("2.0265")
    assert plan.per_oils is None


def test_a_filling_is_for_one_piece():
    recipe = FillingPlan((Line(PASTE, D(250)), Line(BOTTLE, D(1))))
    plan = plan_cost(recipe, PRICES, WATER)
    assert plan.counted
    assert plan.total == D("1.5000")


def test_an_unknown_price_makes_the_plan_unknown_and_is_named():
    recipe = SharePlan((Line(PASTE, D("0.4")), Line(SALT, D("0.6"))))
    plan = plan_cost(recipe, {4: Price(None, "P1", ("OIL-9",))}, WATER)
    assert plan.total is None
    assert [line.item.name for line in plan.missing] == ["Paste", "Salt"]
    assert plan.missing[0].price.lots == ("OIL-9",)


def test_water_without_a_price_is_not_free():
    prices = {key: found for key, found in PRICES.items() if key != 3}
    plan = plan_cost(COOK, prices, WATER)
    assert (plan.total, plan.per_oils) == (None, None)


def test_a_price_of_nothing_is_a_price():
    plan = plan_cost(COOK, PRICES | {3: price("0", "")}, WATER)
    assert costs(plan)["Tap water"] == 0


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"lyes": ()}, "State the purity of the KOH"),
        ({"water_per_alkali": None}, "State the lye water"),
        ({"oils": (Line(PASTE, D(1)),)}, "no saponification value"),
    ],
)
def test_a_cook_that_cannot_be_worked_out_is_refused(facts, says):
    known = {name: getattr(COOK, name) for name in COOK.__dataclass_fields__}
    with pytest.raises(Refused, match=says):
        plan_cost(CookPlan(**known | facts), PRICES, WATER)


def test_two_plans_line_by_line():
    a = plan_cost(SharePlan((Line(PASTE, D("0.5")),)), PRICES, WATER)
    b = plan_cost(SharePlan((Line(SALT, D(1)),)), PRICES, WATER)
    rows = beside(a, b)
    assert [row.item.name for row in rows] == ["Paste", "Tap water", "Salt"]
    assert rows[0].b is None
    assert rows[0].difference == D("-2.0000")
    assert sum(row.difference for row in rows) == less(b.total, a.total)


def test_a_difference_to_what_is_unknown_is_unknown():
    a = plan_cost(SharePlan((Line(SALT, D(1)),)), {}, WATER)
    b = plan_cost(SharePlan((Line(SALT, D(1)),)), PRICES, WATER)
    assert isinstance(a, PlannedCost)
    [row] = beside(a, b)
    assert row.difference is None
