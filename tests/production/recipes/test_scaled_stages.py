"""The stages of a chain that is scaled: what each takes, a cook, how far it reaches."""

from dataclasses import replace
from decimal import Decimal as D

import pytest

from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.chain import Stage, plan_back, reach
from production.recipes.domain.scaling.goods import WATER
from production.recipes.domain.scaling.plans import FillingPlan, SharePlan
from production.recipes.domain.scaling.settle import Known, settle, unknown_losses
from production.yields.domain.losses import Loss
from tests.production.recipes.chain_cases import (
    BOTTLE,
    BOX,
    CITRIC,
    FINISHED,
    GLYCERIN,
    HAND,
    NONE,
    PAIL,
    PASTE,
    SOAP,
    TAP,
    TUBS,
    amounts,
    beside,
    chain,
    cook,
    dilution,
    filling,
    finishing,
    line,
    oil,
)


class TestStages:
    def test_the_paste_own_content_decides_before_the_share(self):
        thin = dilution(content=D("0.6"), share=D("0.5"))
        plan = plan_back(chain(thin), {2: D(900)})
        assert amounts(plan.needs) == {"Paste": 300, "Water": 600}

    def test_without_a_content_the_share_counts(self):
        plan = plan_back(chain(dilution(share=D("0.5"))), {2: D(900)})
        assert amounts(plan.needs) == {"Paste": 450, "Water": 450}

    def test_with_neither_the_content_is_asked_for(self):
        with pytest.raises(Refused, match="Write the soap content of the Paste"):
            plan_back(chain(dilution()), {2: D(900)})

    def test_additions_of_a_dilution_take_their_share_from_the_water(self):
        thin = dilution(content=D("0.6"), others=(line(GLYCERIN, "0.1"),))
        plan = plan_back(chain(thin), {2: D(900)})
        assert amounts(plan.needs) == {"Paste": 300, "Glycerin": 90, "Water": 510}

    def test_a_content_on_the_page_comes_before_that_of_the_cook(self):
        found = chain(contents={PASTE.key: Known(D("0.5"), "as typed")}).stage(2).plan
        assert (found.content, found.source) == (D("0.5"), "as typed")
        assert chain().stage(2).plan.source == "worked out from the cook"

    def test_a_paste_too_thin_is_refused(self):
        with pytest.raises(Refused, match="cannot be diluted"):
            plan_back(chain(dilution(content=D("0.1"))), {2: D(900)})

    def test_shares_above_the_whole_are_refused(self):
        over = SharePlan((line(SOAP, "0.9"), line(GLYCERIN, "0.2")))
        with pytest.raises(Refused, match="110 %"):
            plan_back(chain(replace(finishing(), plan=over)), {3: D(900)})

    def test_a_loss_in_filling_is_soap_and_not_bottles(self):
        plan = plan_back(chain(filling(Loss(D("0.01"), "stated"))), {4: D(40)})
        assert amounts(plan.needs)["Bottle"] == 40
        soap = amounts(plan.needs)["Finished"]
        assert abs(soap * D("0.99") - 40 * 250) < D("1e-30")

    def test_boxes_ask_for_whole_bottles(self):
        box = FillingPlan((line(HAND, 3),))
        packing = Stage(5, "box", "packing", BOX, box, Loss(D("0.1"), "stated"))
        plan = plan_back(chain(packing, filling()), {5: D(1), 4: D(2)})
        assert plan.stages[1].comes_out == 5  # three in the box, and two more

    def test_what_stands_ready_is_not_made_again(self):
        plan = plan_back(chain(), {4: D(4)}, ready={FINISHED.key: D(1000)})
        assert [stage.name for stage in plan.stages] == ["filling"]
        plan = plan_back(chain(), {4: D(4)}, ready={FINISHED.key: D(400)})
        assert plan.stages[1].comes_out == 600

    @pytest.mark.parametrize("pieces", ["0", "-1", "2.5"])
    def test_pieces_are_whole_and_above_none(self, pieces):
        with pytest.raises(Refused):
            plan_back(chain(), {4: D(pieces)})

    def test_an_unknown_loss_is_asked_for_and_never_taken_as_none(self):
        unknown = chain(cook(), dilution(None), finishing(), filling())
        assert [stage.name for stage in unknown_losses(unknown)] == ["dilution"]
        with pytest.raises(Refused, match="Write the loss to expect in dilution"):
            plan_back(unknown, {4: D(4)})
        told = settle(unknown, losses={2: NONE})
        assert plan_back(told, {4: D(4)}).stages

    def test_without_an_alkali_no_purity_is_assumed(self):
        with pytest.raises(Refused, match="State the purity of the KOH"):
            plan_back(chain(cook(), tubs=()), {1: D(1000)})

    def test_a_circle_is_refused(self):
        back = replace(dilution(), plan=SharePlan((line(FINISHED, 1),)))
        with pytest.raises(Refused, match="circle"):
            chain(finishing(), back)


class TestCook:
    # 1,000 g of oils at 190 and 3 % superfat: 184.3 g of KOH, at 90 % 204.778 g.
    def test_the_batch_is_what_goes_in(self):
        plan = plan_back(chain(cook()), {1: D(1000) + 3 * D("184.3") / D("0.9")})
        (stage,) = plan.stages
        found = {need.item.name: round(need.amount, 3) for need in stage.goes_in}
        assert found == {
            "Rapeseed oil": 1000,
            "Potassium hydroxide": D("204.778"),
            "Water": D("409.556"),
        }
        assert round(stage.oils, 20) == 1000

    def test_a_liquid_in_the_lye_takes_the_place_of_water(self):
        plain = amounts(cooked(cook()))
        wet = amounts(cooked(cook(others=(beside(GLYCERIN, "0.1", "lye"),))))
        assert wet["Glycerin"] == 100
        assert round(wet["Water"], 9) == round(plain["Water"] - 100, 9)

    def test_what_is_added_late_leaves_the_water_alone(self):
        plain = amounts(cooked(cook()))
        late = amounts(cooked(cook(others=(beside(GLYCERIN, "0.1", "late"),))))
        assert late["Water"] == plain["Water"]
        assert sum(late.values()) == sum(plain.values()) + 100

    def test_more_liquid_than_lye_water_is_refused(self):
        with pytest.raises(Refused, match="other liquid in the lye"):
            cooked(cook(others=(beside(GLYCERIN, "0.9", "lye"),)))

    def test_an_acid_in_the_lye_takes_alkali_of_its_own(self):
        with pytest.raises(Refused, match="purity of Citric acid is not in the book"):
            cooked(cook(others=(beside(CITRIC, "0.02", "lye"),)))
        sour = cook(others=(beside(CITRIC, "0.02", "lye", D(1)),))
        found = amounts(cooked(sour))
        # 20 g / 192.123 g/mol x 3 x 56.1053 g/mol / 0.9.
        more = found["Potassium hydroxide"] - D("184.3") / D("0.9")
        assert round(more, 3) == round(
            20 / D("192.123") * 3 * D("56.1053") / D("0.9"), 3
        )

    def test_water_as_a_line_is_the_lye_water_where_no_term_sets_it(self):
        wet = cook(water_per_alkali=None, others=(beside(TAP, "0.4"),))
        found = amounts(cooked(wet))
        assert found["Tap water"] == 400
        assert "Water" not in found

    @pytest.mark.parametrize("goes_in", ["", "lye", "late"])
    def test_the_paste_of_the_chemistry_is_all_that_goes_in(self, goes_in):
        acid = beside(CITRIC, "0.02", "lye", D("0.99"))
        made = chain(cook(others=(beside(GLYCERIN, "0.1", goes_in), acid)))
        plan = made.stage(1).plan
        whole = sum(amounts(plan.for_oils(D(1000), WATER)).values())
        assert abs(whole - plan.saponified(D(1000)).paste) < D("1e-20")

    def test_without_any_lye_water_it_is_asked_for(self):
        with pytest.raises(Refused, match="lye water"):
            cooked(cook(water_per_alkali=None))

    def test_two_alkalis_are_weighed_side_by_side(self):
        found = amounts(cooked(cook(koh_share=D("0.9")), tubs=TUBS))
        assert round(found["Potassium hydroxide"], 3) == D("184.300")
        # 0.0998 x 190 x 0.97 x 40.00 / 56.11 of NaOH, within a gram.
        assert round(found["Sodium hydroxide"]) == 13

    def test_more_than_the_water_is_lost_as_paste(self):
        """430 g of 1,614 g are water: the lye water, and what the flakes hold. The soap
        content is that of a paste without any, however much more is lost."""
        contents = [
            chain(cook(Loss(D(loss), "stated")), dilution()).stage(2).plan.content
            for loss in ("0.27", "0.5")
        ]
        assert contents[0] == contents[1] < 1

    def test_an_oil_without_a_value_is_named(self):
        with pytest.raises(Refused, match="Rapeseed oil has no saponification value"):
            cooked(cook(oils=(oil(fat=None),)))


def cooked(stage, **told):
    return chain(stage, **told).stage(1).plan.for_oils(D(1000), WATER)


class TestReach:
    def test_the_scarcest_decides(self):
        limits = {PAIL.key: D(10**6), BOTTLE.key: D(7)}
        found = reach(chain(), {4: D(1)}, limits)
        assert (found.wanted, found.bound_by) == ({4: 7}, BOTTLE)

    def test_a_kettle_is_a_limit_of_each_oil(self):
        made = chain()
        limits = made.stage(1).plan.each_oil(D(2000))
        plan = plan_back(made, reach(made, {4: D(1)}, limits).wanted)
        oils = plan.stages[-1].oils
        one = plan_back(made, {4: D(1)}).stages[-1].oils
        assert 2000 - one < oils <= 2000

    def test_labels_that_two_sizes_share_are_not_overdrawn(self):
        loss = Loss(D("0.02"), "stated")
        other = replace(filling(loss, "500"), key=5, makes=replace(HAND, key=15))
        made = chain(cook(), dilution(), finishing(), filling(loss), other)
        found = reach(made, {4: D(1), 5: D(1)}, {BOTTLE.key: D(41)})
        need = amounts(plan_back(made, found.wanted).needs)["Bottle"]
        assert need <= 41

    def test_too_little_for_a_piece_is_refused(self):
        with pytest.raises(Refused, match="does not make one piece"):
            reach(chain(), {4: D(1)}, {GLYCERIN.key: D(1)})

    def test_what_does_not_go_in_decides_nothing(self):
        with pytest.raises(Refused, match="Nothing of what you have"):
            reach(chain(), {4: D(1)}, {CITRIC.key: D(1)})
