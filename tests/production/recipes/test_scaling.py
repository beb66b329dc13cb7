"""Scaling a chain of recipes: what goes in is enough, and hardly more."""

from dataclasses import replace
from decimal import Decimal as D
from decimal import localcontext

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.pot import Oil, Pot
from production.chemistry.domain.profile import AcidShare
from production.chemistry.domain.saponification import saponify
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Fat, Lye
from production.recipes.domain.scaling.chain import (
    OILS,
    TOGETHER,
    Target,
    plan_back,
    reach,
    solve,
)
from production.recipes.domain.scaling.goods import WATER, Material, Need, shortage
from production.recipes.domain.scaling.kettle import Kettle, oils_for_vessel
from production.recipes.domain.scaling.plans import Tub
from production.yields.domain.losses import Loss, experience
from tests.production.chemistry.chemistry_cases import WORKED, decimals
from tests.production.recipes.chain_cases import (
    BOTTLE,
    CITRIC,
    GLYCERIN,
    KOH,
    NAOH,
    NONE,
    PAIL,
    TAP,
    amounts,
    beside,
    chain,
    cook,
    dilution,
    filling,
    finishing,
    oil,
)

LOSSES = decimals(0, "0.4", 5)


class TestRoundTrip:
    @given(
        # What a cook loses is steam: a little over a quarter of it is water.
        st.tuples(decimals(0, "0.26", 5), LOSSES, LOSSES, LOSSES),
        st.integers(1, 5000),
        decimals(10, 1000, 1),
        decimals("0.05", "0.3"),
    )
    def test_what_is_planned_makes_the_pieces(self, losses, pieces, grams, target):
        rates = [Loss(loss, "drawn") for loss in losses]
        made = chain(
            cook(rates[0]),
            dilution(rates[1], target),
            finishing(rates[2]),
            filling(rates[3], grams),
        )
        plan = plan_back(made, {4: D(pieces)})
        fill, finish, dilute, boil = plan.stages
        kept = [1 - loss for loss in losses]
        with localcontext(EXACT):
            for stage, share, asked, of in (
                (boil, kept[0], dilute, "Paste"),
                (dilute, kept[1], finish, "Soap"),
                (finish, kept[2], fill, "Finished"),
            ):
                out = sum(amounts(stage.goes_in).values()) * share
                assert abs(out - amounts(asked.goes_in)[of]) < D("1e-30")
            bottles = amounts(fill.goes_in)["Finished"] / grams * kept[3]
            assert abs(bottles - pieces) < D("1e-30")
            assert amounts(fill.goes_in)["Bottle"] == pieces

    @given(LOSSES, st.integers(1, 3000))
    def test_reach_gives_back_what_was_planned_for(self, loss, pieces):
        made = chain(cook(), dilution(), finishing(), filling(Loss(loss, "drawn")))
        plan = plan_back(made, {4: D(pieces)})
        limits = {need.item.key: need.to_weigh for need in plan.needs}
        found = reach(made, {4: D(1)}, limits).wanted[4]
        assert pieces - 1 <= found <= pieces


def worked(loss=NONE):
    """The cook that was worked out by two routes, for 1,000 g of oils."""
    oils = tuple(
        oil(
            one.grams / 1000,
            Material(place, one.name, category="oil"),
            Fat(one.sv, one.sv, one.sv, one.kind, one.acid_value),
        )
        for place, one in enumerate(WORKED.oils, start=30)
    )
    acid = WORKED.acids[0]
    stage = cook(
        loss,
        oils=oils,
        others=(
            beside(CITRIC, acid.grams / 1000, "lye", acid.purity),
            beside(TAP, WORKED.water / 1000),
        ),
        superfat=WORKED.superfat,
        koh_share=WORKED.koh_share,
        water_per_alkali=None,
    )
    tubs = (
        Tub(KOH, Lye(WORKED.koh_purity, WORKED.koh_carbonate)),
        Tub(NAOH, Lye(WORKED.naoh_purity, WORKED.naoh_carbonate)),
    )
    return chain(stage, tubs=tubs).stage(1)


class TestSolvedFor:
    """One balance, whatever of it was named."""

    @given(decimals(1, 100000))
    def test_the_alkali_turns_saponify_round(self, left):
        stage = worked()
        oils = solve(stage, Target(left, KOH.key), WATER).oils
        with localcontext(EXACT):
            again = stage.plan.saponified(oils)
            assert abs(again.koh_weighed - left) < D("1e-20")
            alone = saponify(WORKED).koh_weighed * oils / 1000
            assert abs(alone - left) < left * D("0.001")

    def test_grams_rounded_on_the_scale_move_the_alkali_by_less_than_a_milligram(self):
        stage = chain(cook(superfat=D("0.02"))).stage(1)
        oils = round(solve(stage, Target(D(500), KOH.key), WATER).oils, 3)
        assert abs(stage.plan.saponified(oils).koh_weighed - 500) <= D("0.001")

    def test_the_other_alkali_decides_as_well(self):
        stage = worked()
        weighed = stage.plan.saponified(D(1000)).naoh_weighed
        found = solve(stage, Target(weighed, NAOH.key), WATER)
        assert abs(found.oils - 1000) < D("1e-20")

    def test_an_alkali_that_is_not_in_it_is_refused(self):
        with pytest.raises(Refused, match="cook takes none of that"):
            solve(chain(cook()).stage(1), Target(D(100), NAOH.key), WATER)

    def test_paste_is_what_is_left_after_the_loss(self):
        stage = worked(Loss(D("0.2"), "stated"))
        paste = stage.plan.saponified(D(1000)).paste
        found = solve(stage, Target(paste * D("0.8")), WATER)
        assert abs(found.oils - 1000) < D("1e-20")
        assert abs(found.together - paste) < D("1e-20")

    @given(decimals(1, 100000), decimals(0, "0.25", 4))
    def test_oils_and_what_is_mixed_are_the_same_batch(self, oils, loss):
        stage = chain(cook(Loss(loss, "drawn"))).stage(1)
        by_oils = solve(stage, Target(oils, OILS), WATER)
        again = solve(stage, Target(by_oils.together, TOGETHER), WATER)
        assert abs(by_oils.oils - oils) < D("1e-20")
        assert abs(again.oils - oils) < D("1e-20")
        out = solve(stage, Target(by_oils.comes_out), WATER)
        assert abs(out.oils - oils) < D("1e-20")

    def test_without_lye_water_no_paste_is_known(self):
        dry = chain(cook(water_per_alkali=None)).stage(1)
        with pytest.raises(Refused, match="lye water"):
            solve(dry, Target(D(100)), WATER)


class TestKettle:
    """Twice the batch, three times where it rises more: common practice, no source."""

    # 1,000 g of oils, 250 of KOH, 250 of water: 1,500 g in all.
    RECIPE = Pot(
        [Oil("fat", D(1000), D("250"))],
        D(0),
        koh_purity=D(1),
        water_per_alkali=D(1),
    )

    @pytest.mark.parametrize(
        ("first", "lauric", "oils", "says"),
        [
            (False, "0.4", 2000, "2 times the batch: 6 L take 3000 g"),
            (False, "0.41", "1333.333", "3 times"),
            (True, "0.1", "1333.333", "On a first cook"),
            (False, None, "1333.333", "unknown"),
        ],
    )
    def test_it_holds_the_batch_twice_or_three_times(self, first, lauric, oils, says):
        share = None if lauric is None else D(lauric)
        load = oils_for_vessel(self.RECIPE, D(6000), first, share)
        assert round(load.oils, 3) == D(oils)
        assert says in load.says

    def test_what_boils_off_stands_in_the_kettle_first(self):
        steaming = replace(self.RECIPE, evaporated=D(200))
        assert oils_for_vessel(steaming, D(6000), False, D(0)).oils == 2000

    def test_a_plan_that_does_not_fit_is_told(self):
        """1,000 g of oils, 250 g of KOH and 250 g of water, of an oil of 250 mg/g."""
        fat = Fat(D(250), D(250), D(250), acids=(AcidShare("C18:1", D(1), D(1), D(1)),))
        pure = (Tub(KOH, Lye(D(1))),)
        boil = cook(oils=(oil(1, fat=fat),), superfat=D(0), water_per_alkali=D(1))
        planned = plan_back(chain(boil, tubs=pure), {1: Target(D(1000), OILS)})
        (stage,) = planned.stages
        assert Kettle(D(3000)).remark(stage) == ""
        assert "On a first cook" in Kettle(D(3000), frozenset({1})).remark(stage)
        said = Kettle(D(2999)).remark(stage)
        assert "1000 g of oils are too much" in said
        assert "999.667 g are oils" in said


def test_a_shortage_is_never_below_zero_and_unknown_stays_unknown():
    tap = Material(7, "Tap water", on_tap=True)
    needs = [Need(PAIL, D("700.0004")), Need(GLYCERIN, D(50)), Need(PAIL, D(300))]
    needs += [Need(BOTTLE, D(3)), Need(tap, D(900))]
    found = shortage(needs, {PAIL.key: D(400), BOTTLE.key: D(9), GLYCERIN.key: None})
    assert [(one.item, one.needed, one.short) for one in found] == [
        (PAIL, D(1000), D(600)),
        (GLYCERIN, D(50), None),
        (BOTTLE, D(3), D(0)),
        (tap, D(900), D(0)),
    ]


class TestLosses:
    @pytest.mark.parametrize("share", ["-0.01", "1", "3"])
    def test_a_loss_is_a_share_below_the_whole(self, share):
        with pytest.raises(Refused):
            Loss(D(share), "stated")

    def test_the_middle_of_the_batches_counts(self):
        found = experience([D("0.05"), D("0.01"), D("0.02"), D("0.03")])
        assert (found.median, found.batches) == (D("0.025"), 4)
        assert found.spread == D("0.04")
        assert found.loss == Loss(D("0.025"), "median of the last 4 batches")

    def test_a_gain_is_not_planned_with(self):
        assert experience([D("-0.01")]).loss == Loss(D(0), "the last batch")

    def test_no_batch_is_no_experience(self):
        assert experience([]) is None
