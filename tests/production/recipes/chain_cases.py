"""A small chain from paste to bottles, invented, for the tests of scaling."""

from decimal import Decimal as D

from production.recipes.domain.pot import Fat, Lye, Terms
from production.recipes.domain.pot import Line as CookLine
from production.recipes.domain.scaling.chain import Stage, chain_of
from production.recipes.domain.scaling.goods import WATER, Material
from production.recipes.domain.scaling.plans import (
    CookPlan,
    DilutionPlan,
    FillingPlan,
    Line,
    SharePlan,
    Tub,
)
from production.recipes.domain.scaling.settle import settle
from production.yields.domain.losses import Loss

PAIL = Material(1, "Rapeseed oil", category="oil")
KOH = Material(2, "Potassium hydroxide", category="alkali", alkali="KOH")
NAOH = Material(3, "Sodium hydroxide", category="alkali", alkali="NaOH")
GLYCERIN, CITRIC = Material(4, "Glycerin"), Material(5, "Citric acid", acid="citric")
BOTTLE = Material(6, "Bottle", "piece", "packaging")
TAP = Material(7, "Tap water", category="water", on_tap=True)
PASTE, SOAP = Material(10, "Paste", kind="made"), Material(11, "Soap", kind="made")
FINISHED = Material(12, "Finished", kind="made")
HAND = Material(13, "Hand soap", "piece", "made")
BOX = Material(14, "Box of three", "piece", "made")
NONE = Loss(D(0), "stated")
# The codes of the tubs are what a shelf calls them.
TUBS = (
    Tub(KOH, Lye(D("0.9"), source="K-1")),
    Tub(NAOH, Lye(D("0.99"), source="N-1")),
)
RAPESEED = Fat(D(190), D(182), D(193))


def line(item, amount):
    return Line(item, D(amount))


def oil(share=1, item=PAIL, fat=RAPESEED):
    return CookLine(item.name, D(share), fat=fat, item=item)


def beside(item, share, goes_in="", purity=None):
    """What goes into a cook beside the oils."""
    return CookLine(
        item.name, D(share), goes_in, acid=item.acid, purity=purity, item=item
    )


def cook(loss=NONE, others=(), oils=(), rest=1, steps=0, **terms):
    facts = {"superfat": D("0.03"), "water_per_alkali": D(2)} | terms
    plan = CookPlan((*(oils or (oil(),)), *others), Terms(**facts))
    return Stage(1, "cook", "cook", PASTE, plan, loss, rest_days=rest, work_days=steps)


def dilution(loss=NONE, target="0.2", **facts):
    plan = DilutionPlan(PASTE, D(target), facts.pop("content", None), **facts)
    return Stage(2, "dilution", "dilution", SOAP, plan, loss, rest_days=2)


def finishing(loss=NONE, glycerin="0.05"):
    parts = (line(SOAP, 1 - D(glycerin)), line(GLYCERIN, glycerin))
    return Stage(3, "finishing", "finishing", FINISHED, SharePlan(parts), loss)


def filling(loss=NONE, grams="250", rest=10):
    parts = (line(FINISHED, grams), line(BOTTLE, 1))
    return Stage(4, "filling", "filling", HAND, FillingPlan(parts), loss, rest)


def chain(*stages, tubs=TUBS[:1], **told):
    stages = stages or (cook(), dilution(), finishing(), filling())
    return settle(chain_of(stages, WATER), tubs=tubs, **told)


def amounts(needs):
    return {need.item.name: need.amount for need in needs}
