"""What a bottle of a product that does not exist would cost, against sums of our own.

Nothing of the product's code is in the sums: figures and fractions, by hand.
"""

from decimal import Decimal as D
from fractions import Fraction as F

import pytest

from costing.domain.figures import unit_parts
from costing.domain.ideas import IdeaLine
from costing.domain.planned_bottle import (
    UNPRICED,
    Effort,
    Good,
    PriceKnown,
    planned_cost_of,
)
from costing.reads import book_behind
from costing.reads.planned_bottle import planned_of
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.chain import Stage, chain_of
from production.recipes.domain.scaling.goods import Material
from production.recipes.domain.scaling.plans import FillingPlan, Line, SharePlan
from production.recipes.domain.scaling.work_out import Facts
from production.recipes.reads.planning import NOTHING
from production.yields.domain.hours_and_losses import NewWork
from production.yields.domain.losses import Loss
from tests import make
from tests.costing.ideas import idea, lines, oils, quoted

NANO = 10**9


def bottle(asked):
    [(found, _)] = planned_of([asked])
    if isinstance(found, Refused):
        raise found
    return found


def line(found, name):
    [one] = [one for one in found.lines if one.name == name]
    return one


@pytest.mark.django_db
def test_a_bottle_from_first_principles():
    """Weights by mass balance, soap by mole; KOH 56.1056 and glycerol 92.0938 g/mol
    (CIAAW weights, added by hand). Amounts are rounded to the milligram as they are
    weighed: the sums agree to the fifth place.
    """
    one, two = (F(oil.sv) / 1000 for oil in oils())
    poured = F(40 * 245) / F("0.98")
    finished = poured / F("0.995")
    diluted = finished * F("0.966") / F("0.99")
    # 1 g of oils: pure KOH, what is weighed of it, and twice that of water.
    pure = (F("0.7") * one + F("0.3") * two) * F("0.97")
    weighed = pure / F("0.9")
    pot = 1 + weighed * 3
    # Three esters to one glycerol; 3 % of the fat is left as it was.
    soap = F("0.97") + pure - pure / F("56.1056") / 3 * F("92.0938")
    content = soap / (pot * F("0.96"))
    paste = diluted * F("0.25") / content
    fats = paste / F("0.96") / pot
    amounts = {
        oils()[0].name: fats * F("0.7"),
        oils()[1].name: fats * F("0.3"),
        "Potassium hydroxide": fats * weighed,
        "Water": fats * weighed * 2 + diluted - paste,
        "Glycerin": finished * F("0.03"),
        "Lavender": finished * F("0.004"),
    }
    prices = {
        oils()[0].name: F("96.00") / 15000,
        oils()[1].name: F("31.00") / 4000,
        "Potassium hydroxide": F("27.50") / 5000,
        "Water": F("0.002") / 1000,
        "Glycerin": F("6.40") / 1000,
        "Lavender": F("19.00") / 100,
    }
    found = bottle(idea())
    for name, amount in amounts.items():
        assert abs(F(line(found, name).amount) - amount) < F("0.05"), name
    materials = sum(amounts[name] * prices[name] for name in amounts) / 40
    packaging = F("101.40") / 130 + F("55.20") / 300
    work = (90 + F("1.5") * 40) / 60 * 18 / 40
    by_hand = materials + packaging + work + F("2.40") / 40
    assert abs(found.unit_cost - by_hand) < F("0.00001")
    assert found.parts["labour"] == work * NANO
    assert found.parts["packaging"] == packaging * NANO
    assert found.parts["energy"] == F("0.06") * NANO


@pytest.mark.django_db
def test_lines_and_components_add_up_to_the_bottle():
    found = bottle(idea(pieces=D(37)))
    assert sum(found.parts.values()) == found.at_least
    assert sum(one.cost for one in found.lines) == found.at_least
    assert abs(found.unit_cost * NANO - found.at_least) <= F("0.5")


def test_a_chain_of_oils_paste_and_soap_by_hand():
    """Our own example. Oils 38.00 for 10 kg and 9.00 for 2 kg; 4.0 and 0.85 kg of them
    with 6 kg of water make 10.0 kg of paste, 6.0 kg of it and 6 kg of water 11.8 kg of
    soap, 9.6 kg fill 40 bottles at 0.62 and labels at 0.08; work 12.00, 3.00 and 6.00.

    9511/7375 a bottle: 1.289627. Planned for 40,000, so that a milligram is nothing.
    """
    names = ("R1", "R2", "water", "P1", "D1")
    r1, r2, water, p1, d1 = (Material(key, n) for key, n in enumerate(names, 1))
    container = Material(6, "bottle", "piece")
    label = Material(7, "label", "piece")
    made = Material(8, "soap 240", "piece")
    poured = SharePlan((Line(r1, D(4) / D("10.85")), Line(r2, D("0.85") / D("10.85"))))
    each = FillingPlan((Line(d1, D(240)), Line(container, D(1)), Line(label, D(1))))
    chain = chain_of(
        [
            Stage(1, "P1", "", p1, poured, Loss(D("0.85") / D("10.85"), "")),
            Stage(
                2, "D1", "", d1, SharePlan((Line(p1, D("0.5")),)), Loss(D(1) / 60, "")
            ),
            Stage(3, "F1", "filling", made, each, Loss(D(0), "")),
        ],
        water,
    )
    in_one_go = F(12) * F(6, 10) * F(96, 118) + 3 * F(96, 118) + 6
    energy = in_one_go * 1000
    effort = Effort(energy=D(energy.numerator) / energy.denominator)
    prices = {1: "0.0038", 2: "0.0045", 3: "0", 6: "0.62", 7: "0.08"}
    goods = {key: Good("x", PriceKnown(F(text))) for key, text in prices.items()}
    facts = Facts(NOTHING, make.DAY)
    found = planned_cost_of(chain, 3, D(40000), facts, goods, effort)
    assert round(found.unit_cost, 6) == F("1.289627") == round(F(9511, 7375), 6)


@pytest.mark.django_db
def test_a_price_that_nobody_knows_is_never_zero():
    without = [one for one in lines() if one.name != "Glycerin"]
    asked = idea(lines=(*without, IdeaLine("finishing", "Glycerin", share=D("0.03"))))
    found = bottle(asked)
    assert found.unit_cost is None
    assert [one.name for one in found.missing] == ["Glycerin"]
    assert found.missing[0].price == UNPRICED
    known = bottle(idea())
    assert found.at_least == known.at_least - line(known, "Glycerin").cost


@pytest.mark.django_db
def test_a_price_of_nothing_is_known():
    asked = [one for one in lines() if one.name != "Water"]
    free = quoted("price", "Water", "1000", "0")
    found = bottle(idea(lines=(*asked, free)))
    assert not found.missing
    assert line(found, "Water").cost == 0


@pytest.mark.django_db
def test_minutes_without_a_rate_are_named():
    found = bottle(idea(effort=Effort(D(30))))
    assert [one.name for one in found.missing] == ["Work"]
    assert found.unit_cost is None


@pytest.mark.django_db
def test_no_minutes_are_no_free_work():
    found = bottle(idea(effort=Effort()))
    assert found.without_work
    assert "labour" not in found.parts


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("facts", "says"),
    [
        (
            {"losses": {}},
            "Write the loss to expect in the cook, the dilution, the finishing, the",
        ),
        ({"koh_purity": None}, "State the purity of the KOH"),
        ({"superfat": None}, "Write the superfat"),
        ({"water_per_alkali": None}, "State the lye water"),
        ({"fill": None}, "how much soap is filled"),
        ({"lines": ()}, "Write the oils"),
        ({"soap_content": D("0.9")}, "above|dry|more|less"),
        ({"base": "Tideline"}, "leave one of the two out"),
    ],
)
def test_what_nobody_said_is_asked_for(facts, says):
    with pytest.raises(Refused, match=says):
        bottle(idea(**facts))


@pytest.mark.django_db
def test_an_oil_that_nobody_knows_is_refused_by_its_name():
    bad = quoted("oil", "Unobtainium oil", "1000", "1", share=D(1))
    with pytest.raises(Refused, match="Unobtainium oil is neither an oil"):
        bottle(idea(lines=(bad,)))


@pytest.mark.django_db
def test_shares_that_leave_no_soap_are_refused():
    more = IdeaLine("finishing", "Brine", share=D("0.97"))
    with pytest.raises(Refused, match="adds up to 100"):
        bottle(idea(lines=(*lines(), more)))


@pytest.mark.django_db
def test_a_batch_made_as_planned_costs_what_was_planned():
    """Each lot is bought as it was quoted, each stage weighed and yielded as planned:
    the roll-up of the book says the same bottle, to the last place.
    """
    planned = bottle(idea(effort=Effort(D(90), D("1.5"), D("18.00"))))
    quotes = {one.name: one.quote for one in idea().lines}
    shelf = {
        one.name: make.lot(
            item=card(one),
            grams=str(quotes[one.name].amount * 10),
            price=str(quotes[one.name].price * 10),
        )
        for one in planned.lines
        if one.key is not None
    }
    for row in planned.plan.stages:
        makes, filled = row.plan.stage.makes, row.plan.stage.stage == "filling"
        made = make.batch(
            row.plan.stage.stage,
            uses=[(shelf[one.need.item.name], one.need.amount) for one in row.taken],
            makes=makes.name,
            amount=row.comes_out,
            unit=makes.unit,
            # 90 minutes and 1.5 for each of 40 pieces are 2.5 hours.
            work=[NewWork("labour", D("2.5"), D("18.00"))] if filled else [],
        )
        shelf[makes.name] = made
    value = book_behind(made).valuation.lots[made.code]
    assert made.item.unit == "piece"
    assert value.unit_cost == planned.unit_cost
    parts = unit_parts(value.rate_parts, value.unit_cost)
    # Of a name alone nobody has said what it is; its card has to.
    parts["material"] = parts.pop("additive")
    assert parts == planned.parts


def card(one):
    facts = {"unit": one.unit}
    if one.component == "packaging":
        facts["kind"] = "packaging"
    else:
        category = {"material": "additive"}.get(one.component, one.component)
        facts["category"] = category
    if one.component == "alkali":
        facts["alkali"] = "KOH"
    return make.item(one.name, **facts)
