"""The one planner: what is weighed, of what strength the lye is, and when.

Values of oils are invented unless a source stands beside them; molar masses follow
from CIAAW's atomic weights: KOH 56.1053, NaOH 39.997, glycerol 92.094, water 18.015.
The sums beside the plans use nothing of the code that they check.
"""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal as D
from decimal import localcontext

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.chemistry.domain.constants import EXACT
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Fat, Lye
from production.recipes.domain.scaling.chain import (
    TOGETHER,
    Stage,
    Target,
    plan_back,
)
from production.recipes.domain.scaling.plans import FillingPlan, SharePlan, Tub
from production.recipes.domain.scaling.work_out import work_out
from production.yields.domain.losses import Loss
from tests.production.chemistry.chemistry_cases import decimals
from tests.production.recipes.chain_cases import (
    BOX,
    CITRIC,
    FINISHED,
    GLYCERIN,
    HAND,
    KOH,
    NONE,
    SOAP,
    TAP,
    TUBS,
    beside,
    chain,
    cook,
    dilution,
    filling,
    finishing,
    line,
    oil,
)
from tests.production.recipes.planned_stock import (
    GLYCEROL_G,
    KOH_G,
    MADE,
    NAOH_G,
    STEPS,
    TODAY,
    facts,
    lot,
    near,
    one_cook,
    shelf,
    taken_of,
    weighed,
)

LOSSES = decimals(0, "0.25", 4)


class TestOnTheBalance:
    @given(STEPS, st.integers(20, 3000), st.tuples(LOSSES, LOSSES, LOSSES, LOSSES))
    def test_every_amount_is_a_whole_number_of_steps(self, step, pieces, losses):
        boil, thin, end, fill = (Loss(loss, "drawn") for loss in losses)
        made = chain(
            cook(boil, koh_share=D("0.9")),
            dilution(thin),
            finishing(end),
            filling(fill, "247.3"),
            tubs=TUBS,
        )
        plan = work_out(made, {4: Target(D(pieces))}, facts(step))
        assert len(plan.stages) == 4
        for stage in plan.stages:
            assert stage.taken
            for taken in stage.taken:
                unit = 1 if taken.need.item.counted else step
                assert taken.need.amount > 0
                # Of what was just made all is taken, whatever it weighs.
                assert taken.need.amount % unit == 0 or taken.made_above
        alkali = {"Potassium hydroxide", "Sodium hydroxide"}
        assert alkali < set(weighed(plan.stage(1)))

    @given(
        STEPS,
        decimals("0", "0.15", 4),
        decimals("0.84", "0.99", 3),
        decimals(150, 270, 1),
        decimals(500, 60000, 1),
    )
    def test_alkali_is_rounded_down_and_the_superfat_shown_is_that(
        self, step, superfat, purity, sv, oils
    ):
        found = one_cook(
            oils,
            step,
            tubs=(Tub(KOH, Lye(purity, source="K-1")),),
            oils=(oil(fat=Fat(sv, sv, sv)),),
            superfat=superfat,
        )
        grams = weighed(found)
        with localcontext(EXACT):
            takes = grams["Rapeseed oil"] * sv / 1000
            left = 1 - grams["Potassium hydroxide"] * purity / takes
            tiny = D("1e-30")
            assert superfat - tiny <= left < superfat + step * purity / takes
            assert abs(found.cooked.superfat.central - left) < tiny

    @given(
        STEPS,
        decimals("0.02", "0.15", 4),
        decimals("0.3", "0.95", 2),
        decimals(3000, 60000, 1),
    )
    def test_of_two_alkalis_each_is_rounded_down(self, step, superfat, koh, oils):
        acid = beside(CITRIC, "0.01", "lye", D("0.995"))
        found = one_cook(
            oils, step, tubs=TUBS, others=(acid,), superfat=superfat, koh_share=koh
        )
        grams = weighed(found)
        with localcontext(EXACT):
            demand = grams["Rapeseed oil"] * 190 / 1000 / KOH_G
            # Citric acid, 192.123 g/mol, gives up three H.
            acid = grams["Citric acid"] * D("0.995") / D("192.123") * 3
            potash = grams["Potassium hydroxide"] * D("0.9") / KOH_G
            soda = grams["Sodium hydroxide"] * D("0.99") / NAOH_G
            left = 1 - (potash + soda - acid) / demand
            a_step_of_each = step * (D("0.9") / KOH_G + D("0.99") / NAOH_G)
            # The molar masses above have four places.
            tiny = D("1e-5")
            assert superfat - tiny < left < superfat + a_step_of_each / demand + tiny
            assert abs(found.cooked.superfat.central - left) < tiny

    def test_a_coarse_balance_by_hand(self):
        """204.778 g of flakes are asked for, and 200 g weighed: 180 g of KOH for the
        190 g that the oil takes. 400 g of water are twice the flakes as weighed.
        """
        found = one_cook(step="10")
        assert weighed(found) == {
            "Rapeseed oil": 1000,
            "Water": 400,
            "Potassium hydroxide": 200,
        }
        turned = D(180) / 190
        assert abs(found.cooked.superfat.central - (1 - turned)) < D("1e-20")
        # 190 / 56.1053 mol of esters, a third as much glycerol; in 1,600 g of paste.
        soap = turned * (1000 + 190 - 190 / KOH_G / 3 * GLYCEROL_G)
        assert (found.together, found.comes_out) == (1600, 1600)
        assert abs(found.content - soap / 1600) < D("1e-6")

    def test_less_alkali_than_a_step_is_refused(self):
        with pytest.raises(Refused, match="less than one step of the balance"):
            one_cook("4", step="1")

    def test_nobody_named_the_balance_so_the_milligram_counts(self):
        assert weighed(one_cook(step="0")) == {
            "Rapeseed oil": 1000,
            "Water": D("409.554"),
            "Potassium hydroxide": D("204.777"),
        }

    @given(STEPS, st.integers(50, 2000), st.tuples(LOSSES, LOSSES, LOSSES))
    def test_what_lies_between_is_not_rounded(self, step, pieces, losses):
        """Each amount is off by its own rounding alone, none by that of a stage
        after it."""
        thin, end, fill = (Loss(loss, "drawn") for loss in losses)
        made = chain(
            cook(), dilution(thin), finishing(end, "0.0317"), filling(fill, "247.3")
        )
        wanted = {4: Target(D(pieces))}
        plan = work_out(made, wanted, facts(step))
        makes = {stage.makes.key for stage in made.stages}
        for row in plan_back(made, wanted).stages:
            found = weighed(plan.stage(row.stage.key))
            for need in row.goes_in:
                off = found[need.item.name] - need.amount
                if need.item.key in makes:
                    # All that was made is taken, where rounding left it short.
                    assert abs(off) <= 10 * step
                elif row.stage.stage == "filling":
                    assert 0 <= off < step or need.item.counted
                elif row.stage.stage == "cook" and need.item.key in (KOH.key, 0):
                    # Flakes down, and twice as much less water.
                    assert -step * (2 if need.item.key == 0 else 1) - step <= off
                    assert off <= step / 2
                else:
                    assert abs(off) <= step / 2

    @given(STEPS, decimals(5000, 90000, 3), decimals(5000, 90000, 3))
    def test_two_stages_of_one_paste_add_up_to_within_a_step(self, step, one, other):
        again = replace(
            dilution(target="0.3"), key=7, name="thick", makes=replace(SOAP, key=17)
        )
        made = chain(cook(), dilution(), again)
        wanted = {2: Target(one), 7: Target(other)}
        plan = work_out(made, wanted, facts(step))
        paste = sum(weighed(plan.stage(key))["Paste"] for key in (2, 7))
        boil = plan.stage(1).plan
        # No more than is made, and all of it but for rounding.
        cooked = plan.stage(1).comes_out
        assert cooked - 10 * step <= paste <= cooked
        assert abs(paste - boil.comes_out) <= 10 * step
        # Oils to half a step, and what follows from them: 1,614 g of paste of 1,000.
        assert abs(plan.stage(1).oils - boil.oils) <= step / 2

    def test_what_should_come_out_is_of_what_is_weighed(self):
        made = chain(cook(), dilution(Loss(D("0.1"), "stated")))
        found = work_out(made, {2: Target(D("1003.7"))}, facts("10")).stage(2)
        assert found.together == sum(weighed(found).values())
        assert found.comes_out == found.together * D("0.9")

    def test_filling_never_takes_too_little_for_its_pieces(self):
        made = chain(filling(grams="250.3"))
        found = work_out(made, {4: Target(D(7))}, facts("5")).stage(4)
        assert weighed(found) == {"Finished": 1755, "Bottle": 7}
        assert found.comes_out == 7


class TestTheLye:
    def test_glycerin_alone_needs_no_water_and_makes_a_paste(self):
        glycerin = beside(GLYCERIN, "0.5", "lye")
        found = one_cook(others=(glycerin,), water_per_alkali=None)
        assert weighed(found) == {
            "Rapeseed oil": 1000,
            "Glycerin": 500,
            "Potassium hydroxide": D("204.777"),
        }
        assert found.cooked.result.lye_water == 0
        assert found.comes_out == D("1704.777")
        soap = D("0.97") * (1000 + 190 - 190 / KOH_G / 3 * GLYCEROL_G)
        assert abs(found.content - soap / D("1704.777")) < D("1e-5")

    def test_a_lye_of_nothing_is_not_known(self):
        with pytest.raises(Refused, match="lye water"):
            one_cook(water_per_alkali=None)

    def test_water_as_a_line_is_the_lye_water(self):
        found = one_cook(others=(beside(TAP, "0.4"),), water_per_alkali=None)
        assert weighed(found) == {
            "Rapeseed oil": 1000,
            "Tap water": 400,
            "Potassium hydroxide": D("204.777"),
        }
        assert found.cooked.result.lye_water == 400
        assert found.comes_out == D("1604.777")
        shares = taken_of(found, TAP).shares
        assert [(share.code, share.amount) for share in shares] == [("Tap water", 400)]

    def test_water_as_a_line_beside_a_term_is_not_the_lye_water(self):
        found = one_cook(others=(beside(TAP, "0.1", "late"),))
        assert weighed(found)["Tap water"] == 100
        assert weighed(found)["Water"] == D("409.554")


class TestDays:
    def test_each_stage_begins_when_the_one_before_is_ready(self):
        """Rests of 1, 2, 0 and 10 days, with two nights of steps in the kettle."""
        made = chain(cook(steps=2), dilution(), finishing(), filling())
        plan = work_out(made, {4: Target(D(4))}, facts())
        assert [
            (row.plan.stage.stage, row.begins, row.ready) for row in plan.stages
        ] == [
            ("cook", date(2026, 2, 25), date(2026, 2, 28)),
            ("dilution", date(2026, 2, 28), date(2026, 3, 2)),
            ("finishing", date(2026, 3, 2), date(2026, 3, 2)),
            ("filling", date(2026, 3, 2), date(2026, 3, 12)),
        ]
        assert plan.first_sale == date(2026, 3, 12)

    def test_nothing_to_wait_for_is_today(self):
        made = chain(filling(rest=0))
        plan = work_out(made, {4: Target(D(4))}, facts())
        assert plan.first_sale == TODAY

    def test_the_longest_way_counts_and_not_the_sum(self):
        """A premix that rests three days stands ready before the soap does; one that
        rests nine holds the finishing up."""
        parts = SharePlan((line(CITRIC, 1),))
        for rest, begins in ((2, 3), (9, 9)):
            side = Stage(9, "premix", "preparation", GLYCERIN, parts, NONE, rest)
            made = chain(cook(), dilution(), finishing(), filling(), side)
            plan = work_out(made, {4: Target(D(4))}, facts())
            assert plan.stage(9).begins == plan.stage(1).begins == TODAY
            assert plan.stage(3).begins == TODAY + timedelta(begins)
            assert plan.first_sale == TODAY + timedelta(begins + 10)

    def test_what_stands_ready_need_not_be_waited_for(self):
        stands = shelf({FINISHED.key: [lot("F-1", 9000)]})
        plan = work_out(chain(), {4: Target(D(4))}, facts(stands=stands, ready=MADE))
        assert plan.first_sale == TODAY + timedelta(10)

    def test_a_rest_beyond_the_calendar_is_refused(self):
        made = chain(filling(rest=10**7))
        with pytest.raises(Refused, match="after the end of the calendar"):
            work_out(made, {4: Target(D(4))}, facts())


class TestRefused:
    def test_a_circle(self):
        back = replace(dilution(), plan=SharePlan((line(FINISHED, 1),)))
        with pytest.raises(Refused, match="circle"):
            work_out(chain(finishing(), back), {3: Target(D(1))}, facts())

    def test_a_loss_that_nobody_knows(self):
        made = chain(cook(), dilution(None), finishing(), filling())
        with pytest.raises(Refused, match="Write the loss to expect in dilution"):
            work_out(made, {4: Target(D(4))}, facts())

    def test_without_a_loss_only_what_is_mixed_can_be_asked_for(self):
        made = chain(cook(), dilution(None, content=D("0.5")))
        found = work_out(made, {2: Target(D(1000), TOGETHER)}, facts()).stage(2)
        assert near(weighed(found), Paste=400, Water=600)
        assert found.comes_out is None

    @pytest.mark.parametrize("amount", ["0", "-3", "2.5"])
    def test_pieces_are_whole_and_above_none(self, amount):
        with pytest.raises(Refused):
            work_out(chain(), {4: Target(D(amount))}, facts())


def test_boxes_of_bottles_are_whole_all_the_way():
    """Seven boxes of three and two loose bottles, one bottle in ten broken."""
    box = FillingPlan((line(HAND, 3),))
    packing = Stage(5, "box", "packing", BOX, box, NONE)
    made = chain(packing, filling(Loss(D("0.1"), "stated")), tubs=())
    plan = work_out(made, {5: Target(D(7)), 4: Target(D(2))}, facts("1"))
    assert plan.stage(4).comes_out == 23
    # 23 x 250 / 0.9 g, rounded up.
    assert weighed(plan.stage(4)) == {"Finished": 6389, "Bottle": 23}
