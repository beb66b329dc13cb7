"""Forty bottles back to the oils, worked by hand beside what the chain says.

The recipes and losses are invented (they are the demo's). Saponification values lie
in Codex CXS 210-1999, Table 2 (safflower, babassu) and USP-NF (oleic acid); atomic
weights are CIAAW's. The hand calculation uses nothing of the code it checks.
"""

from dataclasses import replace
from decimal import Decimal as D

import pytest

from production.quantities.domain.numbers import grams
from production.recipes.domain.pot import Fat, Lye, Terms
from production.recipes.domain.pot import Line as CookLine
from production.recipes.domain.scaling.chain import Stage, chain_of, plan_back, reach
from production.recipes.domain.scaling.goods import Material
from production.recipes.domain.scaling.kettle import oils_for_vessel
from production.recipes.domain.scaling.plans import (
    PER,
    CookPlan,
    DilutionPlan,
    FillingPlan,
    Line,
    SharePlan,
    Tub,
)
from production.recipes.domain.scaling.settle import settle
from production.yields.domain.losses import Loss

WATER = Material(1, "Water", category="water", on_tap=True)


def made(key, name, unit="g"):
    return Material(key, name, unit, kind="made")


def oil(key, name, sv, low, high, kind="fat"):
    fat = Fat(D(sv), D(low), D(high), kind)
    return CookLine(name, D(1), fat=fat, item=Material(key, name, category="oil"))


SAFFLOWER = oil(2, "High-oleic safflower oil", "190", "186", "194")
BABASSU = oil(3, "Babassu oil", "247", "245", "256")
OLEIC = oil(4, "Oleic acid", "198.6", "196", "204", "acid")
KOH = Material(5, "Potassium hydroxide", category="alkali", alkali="KOH")
GLYCERIN, FRAGRANCE, SALT = (Material(k, n) for k, n in enumerate("GFS", start=6))
BOTTLE, LABEL, PUMP = (
    Material(k, n, "piece", kind="packaging") for k, n in enumerate("BLP", start=10)
)
PASTE, DILUTED, FINISHED = made(20, "Paste"), made(21, "Diluted"), made(22, "Finished")
BRINE, SMALL = made(23, "Brine"), made(24, "8 fl oz", "piece")
LARGE = made(25, "16 fl oz", "piece")


def lines(*pairs):
    return tuple(Line(item, D(amount)) for item, amount in pairs)


def tideline():
    """The recipes as plain values, with a potash of 89.9 %."""
    none = Loss(D(0), "stated")
    cook = CookPlan(
        (
            replace(SAFFLOWER, share=D("0.70")),
            replace(BABASSU, share=D("0.22")),
            replace(OLEIC, share=D("0.08")),
        ),
        Terms(D("0.02"), water_per_alkali=D("2.2")),
    )
    finish = lines(
        (DILUTED, "0.926"), (GLYCERIN, "0.030"), (FRAGRANCE, "0.012"), (BRINE, "0.032")
    )
    thin = DilutionPlan(PASTE, D("0.216"), None, D("0.336"))
    small = lines((FINISHED, "245"), (BOTTLE, "1"), (LABEL, "1"))
    large = lines((FINISHED, "490"), (PUMP, "1"), (LABEL, "1"))
    stages = [
        Stage(1, "Brine", "preparation", BRINE, SharePlan(lines((SALT, "0.2"))), none),
        Stage(2, "Cook", "cook", PASTE, cook, Loss(D("0.031"), "recipe"), 1),
        Stage(3, "Dilution", "dilution", DILUTED, thin, Loss(D("0.007"), "recipe")),
        Stage(
            4,
            "Finishing",
            "finishing",
            FINISHED,
            SharePlan(finish),
            Loss(D("0.005"), "recipe"),
        ),
        Stage(5, "8 fl oz", "filling", SMALL, FillingPlan(small), none, 10),
        Stage(6, "16 fl oz", "filling", LARGE, FillingPlan(large), none, 10),
    ]
    tub = Tub(KOH, Lye(D("0.899"), D("0.004")))
    return settle(chain_of(stages, WATER), tubs=[tub])


class ByHand:
    """Forty bottles of 245 g, step by step; a figure a line."""

    finished = D(40) * 245  # 9,800 g, nothing lost in filling
    mixed = finished / D("0.995")  # 0.5 % stays on the walls: 9,849.246 g
    diluted = mixed * D("0.926")
    glycerin = mixed * D("0.030")
    fragrance = mixed * D("0.012")
    brine = mixed * D("0.032")
    salt = brine * D("0.20")
    brine_water = brine * D("0.80")
    thinned = diluted / D("0.993")  # 0.7 % goes off as steam
    # A cook of 1,000 g of oils. KOH = 39.0983 + 15.999 + 1.008 = 56.1053 g/mol;
    # glycerol 3 x 12.011 + 8 x 1.008 + 3 x 15.999 = 92.094; water 18.015.
    demand = (D(700) * 190 + D(220) * 247 + D(80) * D("198.6")) / 1000  # 203.228 g
    pure = demand * D("0.98")  # superfat 2 %
    potash = pure / D("0.899")  # 221.539 g
    lye_water = potash * D("2.2")
    whole = 1000 + potash + lye_water
    paste_made = whole * D("0.969")  # 3.1 % boils off
    # Soap of a fat: fat + KOH - glycerol, one for three KOH; of an acid: - water.
    esters = (D(700) * 190 + D(220) * 247) / 1000 / D("56.1053")
    acids = D(80) * D("198.6") / 1000 / D("56.1053")
    split_off = esters / 3 * D("92.094") + acids * D("18.015")
    soap = D("0.98") * (1000 + demand - split_off)
    content = soap / paste_made
    paste = thinned * D("0.216") / content
    water = thinned - paste
    oils = paste / paste_made * 1000


def planned(plan):
    """Name of the stage to name of the material to what is weighed."""
    return {
        stage.name: {need.item.name: need.to_weigh for need in stage.goes_in}
        for stage in plan.stages
    }


def test_forty_bottles_as_by_hand():
    plan = plan_back(tideline(), {5: D(40)})
    hand = ByHand
    batches = hand.oils / 1000
    assert [stage.name for stage in plan.stages] == [
        "8 fl oz",
        "Finishing",
        "Dilution",
        "Cook",
        "Brine",
    ]
    assert planned(plan) == {
        "8 fl oz": {"Finished": D(9800), "B": D(40), "L": D(40)},
        "Finishing": {
            "Diluted": grams(hand.diluted),
            "G": grams(hand.glycerin),
            "F": grams(hand.fragrance),
            "Brine": grams(hand.brine),
        },
        "Dilution": {"Paste": grams(hand.paste), "Water": grams(hand.water)},
        "Cook": {
            "High-oleic safflower oil": grams(batches * 700),
            "Babassu oil": grams(batches * 220),
            "Oleic acid": grams(batches * 80),
            "Potassium hydroxide": grams(batches * hand.potash),
            "Water": grams(batches * hand.lye_water),
        },
        "Brine": {"S": grams(hand.salt), "Water": grams(hand.brine_water)},
    }


def test_the_figures_of_the_hand_calculation_are_those_of_the_page():
    """The same sums on a pocket calculator, so that an error in both would show."""
    hand = ByHand
    assert round(hand.mixed, 3) == D("9849.246")
    assert round(hand.demand, 3) == D("203.228")
    assert round(hand.potash, 3) == D("221.539")
    # 133 + 54.34 + 15.888 g of KOH; 102.503 g of glycerol and 5.102 g of water off;
    # 0.98 x 1,095.623 g of soap in 0.969 x 1,708.924 g.
    assert round(hand.split_off, 2) == D("107.60")
    assert round(hand.soap, 2) == D("1073.71")
    assert round(hand.content, 4) == D("0.6484")
    # 9,184.695 x 0.216 / 0.6484 g of paste, and 1,655.948 g of it from 1,000 g.
    assert round(hand.paste, 1) == D("3059.7")
    assert round(hand.oils, 1) == D("1847.7")


def test_the_oils_are_told_and_the_content_of_the_paste():
    cook = plan_back(tideline(), {5: D(40)}).stages[3]
    assert grams(cook.oils) == grams(ByHand.oils)
    assert round(cook.content, 12) == round(ByHand.content, 12)


def test_two_sizes_share_one_finished_soap():
    """40 x 245 + 12 x 490 = 15,680 g, 1.6 times what forty small ones take."""
    plan = plan_back(tideline(), {5: D(40), 6: D(12)})
    both = planned(plan)
    assert both["Dilution"]["Paste"] == grams(ByHand.paste * D("1.6"))
    bought = {need.item.name: need.to_weigh for need in plan.needs}
    assert (bought["B"], bought["P"], bought["L"]) == (40, 12, 52)
    assert bought["S"] == grams(ByHand.salt * D("1.6"))
    water = ByHand.water + ByHand.brine_water + ByHand.oils / 1000 * ByHand.lye_water
    assert bought["Water"] == grams(water * D("1.6"))


@pytest.mark.parametrize("alkali", ["409.3", "409.4"])
def test_the_alkali_that_is_left_decides(alkali):
    """409.337 g of potash make forty bottles: 409.3 g make one less."""
    chain = tideline()
    forty = ByHand.oils / 1000 * ByHand.potash
    assert D("409.3") < forty < D("409.4")
    found = reach(chain, {5: D(1)}, {KOH.key: D(alkali)})
    assert found.wanted == {5: 39 if D(alkali) < forty else 40}
    assert found.bound_by == KOH


def test_paste_that_stands_ready_decides():
    """1,000 g of paste: 40 / 3,059.7 x 1,000 = 13.07 bottles, so thirteen."""
    found = reach(tideline(), {5: D(1)}, {PASTE.key: D(1000)})
    assert found.wanted == {5: 13}


def test_a_kettle_of_24_litres_holds_the_batch_twice():
    """24,000 / 2 = 12,000 g in all, of which 1,000 in 1,708.92 are oils."""
    chain = tideline()
    recipe = chain.stage(2).plan.pot(PER)
    load = oils_for_vessel(recipe, D(24000), False, D("0.15"))
    assert load.batch == 12000
    assert grams(load.oils) == grams(12000 * 1000 / ByHand.whole)
    # The demo cooks 6,000 g of oils in it: 10,253.5 g in all.
    assert round(6 * ByHand.whole, 1) == D("10253.5")
