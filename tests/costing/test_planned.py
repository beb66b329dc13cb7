"""A planned cost, worked by hand: nothing is assumed, and the lines add up."""

from dataclasses import replace
from decimal import Decimal as D
from fractions import Fraction

import pytest

from costing.domain.planned import PlannedCost, Price, beside, less, plan_cost
from production.quantities.domain.numbers import money
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Fat, Lye, Terms
from production.recipes.domain.pot import Line as CookLine
from production.recipes.domain.scaling.chain import Stage
from production.recipes.domain.scaling.goods import Material
from production.recipes.domain.scaling.plans import (
    CookPlan,
    FillingPlan,
    Line,
    SharePlan,
    Tub,
)
from production.yields.domain.losses import Loss

OIL = Material(1, "Rapeseed oil", category="oil")
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
RAPESEED = CookLine("Rapeseed oil", D(1), fat=Fat(D(190), D(180), D(200)), item=OIL)
COOK = CookPlan(
    (RAPESEED,),
    Terms(D(0), water_per_alkali=D(2)),
    {"KOH": Tub(POTASH, Lye(D("0.9")))},
)
MADE = Material(7, "What is made", kind="made")
PIECE = Material(8, "A bottle of it", unit="piece", kind="made")


def priced(plan, prices=PRICES, loss=None):
    """The cost of what a recipe makes; ``loss`` is what it expects, if anything."""
    makes = PIECE if isinstance(plan, FillingPlan) else MADE
    expects = None if loss is None else Loss(D(loss), "as the recipe expects")
    stage = Stage(1, "This recipe", "", makes, plan, expects)
    return plan_cost(stage, prices, WATER)


def costs(plan):
    return {line.item.name: line.cost for line in plan.lines}


def test_a_cook_by_hand():
    """1,000 g at 190 mg/g take 190 g of pure KOH, 211.111 g at 90 %, 422.222 g water.

    6.00 + 1.055556 + 0.000844 = 7.0564 for 1,000 g of oils, which make 1,633.333 g.
    """
    plan = priced(COOK)
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
    plan = priced(COOK, loss="0.1")
    assert money(plan.total) == D("4.8003")
    assert plan.per_oils == D("7.0564")


def test_shares_leave_the_rest_to_water_and_a_loss_is_made_up_for():
    """For 1,000 g 1,250 g are mixed: 500 g of paste, 25 g of salt, 725 g of water."""
    recipe = SharePlan((Line(PASTE, D("0.4")), Line(SALT, D("0.02"))))
    plan = priced(recipe, loss="0.2")
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
    plan = priced(recipe)
    assert plan.counted
    assert plan.total == D("1.5000")


def test_an_unknown_price_makes_the_plan_unknown_and_is_named():
    recipe = SharePlan((Line(PASTE, D("0.4")), Line(SALT, D("0.6"))))
    plan = priced(recipe, {4: Price(None, "P1", ("OIL-9",))})
    assert plan.total is None
    assert [line.item.name for line in plan.missing] == ["Paste", "Salt"]
    assert plan.missing[0].price.lots == ("OIL-9",)


def test_water_without_a_price_is_not_free():
    prices = {key: found for key, found in PRICES.items() if key != 3}
    plan = priced(COOK, prices)
    assert (plan.total, plan.per_oils) == (None, None)


def test_a_price_of_nothing_is_a_price():
    plan = priced(COOK, PRICES | {3: price("0", "")})
    assert costs(plan)["Tap water"] == 0


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"tubs": {}}, "State the purity of the KOH"),
        ({"terms": Terms(D(0))}, "State the lye water"),
        ({"lines": (replace(RAPESEED, fat=None),)}, "no saponification value"),
    ],
)
def test_a_cook_that_cannot_be_worked_out_is_refused(facts, says):
    with pytest.raises(Refused, match=says):
        priced(replace(COOK, **facts))


def test_two_plans_line_by_line():
    a = priced(SharePlan((Line(PASTE, D("0.5")),)))
    b = priced(SharePlan((Line(SALT, D(1)),)))
    rows = beside(a, b)
    assert [row.item.name for row in rows] == ["Paste", "Tap water", "Salt"]
    assert rows[0].b is None
    assert rows[0].difference == D("-2.0000")
    assert sum(row.difference for row in rows) == less(b.total, a.total)


def test_a_difference_to_what_is_unknown_is_unknown():
    a = priced(SharePlan((Line(SALT, D(1)),)), {})
    b = priced(SharePlan((Line(SALT, D(1)),)))
    assert isinstance(a, PlannedCost)
    [row] = beside(a, b)
    assert row.difference is None
