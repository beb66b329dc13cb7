"""Scaling a chain of recipes: what goes in is enough, and hardly more."""

from dataclasses import replace
from datetime import date
from decimal import Decimal as D
from decimal import localcontext

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.domain.chemistry.constants import EXACT
from production.domain.chemistry.recipe import Oil, Recipe
from production.domain.chemistry.saponification import saponify
from production.domain.refusal import Refused
from production.domain.scaling import (
    WATER,
    CookPlan,
    DilutionPlan,
    FillingPlan,
    Line,
    Loss,
    Lye,
    Material,
    Need,
    Published,
    SharePlan,
    Stage,
    Wait,
    chain_of,
    experience,
    first_day,
    fits,
    longest_wait,
    oils_for_alkali,
    oils_for_paste,
    oils_for_vessel,
    plan_back,
    reach,
    settle,
    shortage,
    unknown_losses,
)
from tests.production.chemistry_cases import WORKED, decimals

PAIL = Material(
    1, "Rapeseed oil", category="oil", oil=Published(D(190), D(182), D(193))
)
KOH = Material(2, "Potassium hydroxide", category="alkali", alkali="KOH")
NAOH = Material(3, "Sodium hydroxide", category="alkali", alkali="NaOH")
GLYCERIN, CITRIC = Material(4, "Glycerin"), Material(5, "Citric acid", acid="citric")
BOTTLE = Material(6, "Bottle", "piece", "packaging")
PASTE, SOAP = Material(10, "Paste", kind="made"), Material(11, "Soap", kind="made")
FINISHED = Material(12, "Finished", kind="made")
HAND = Material(13, "Hand soap", "piece", "made")
BOX = Material(14, "Box of three", "piece", "made")
NONE = Loss(D(0), "stated")
LYES = (Lye(KOH, D("0.9")), Lye(NAOH, D("0.99")))


def line(item, amount, goes_in=""):
    return Line(item, D(amount), goes_in)


def cook(loss=NONE, **terms):
    facts = {"superfat": D("0.03"), "water_per_alkali": D(2)} | terms
    plan = CookPlan(oils=(line(PAIL, 1),), **facts)
    return Stage(1, "cook", "cook", PASTE, plan, loss, rest_days=1)


def dilution(loss=NONE, target="0.2", **facts):
    plan = DilutionPlan(PASTE, D(target), facts.pop("content", None), **facts)
    return Stage(2, "dilution", "dilution", SOAP, plan, loss, rest_days=2)


def finishing(loss=NONE, glycerin="0.05"):
    parts = (line(SOAP, 1 - D(glycerin)), line(GLYCERIN, glycerin))
    return Stage(3, "finishing", "finishing", FINISHED, SharePlan(parts), loss)


def filling(loss=NONE, grams="250", rest=10):
    parts = (line(FINISHED, grams), line(BOTTLE, 1))
    return Stage(4, "filling", "filling", HAND, FillingPlan(parts), loss, rest)


def chain(*stages, lyes=LYES[:1], **told):
    stages = stages or (cook(), dilution(), finishing(), filling())
    return settle(chain_of(stages, WATER), lyes=lyes, **told)


def amounts(needs):
    return {need.item.name: need.amount for need in needs}


LOSSES = decimals(0, "0.4", 5)


class TestRoundTrip:
    @given(
        st.tuples(LOSSES, LOSSES, LOSSES, LOSSES),
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


class TestOilsFor:
    @given(decimals(1, 100000))
    def test_oils_for_alkali_turn_saponify_round(self, left):
        oils = oils_for_alkali(WORKED, left)
        with localcontext(EXACT):
            times = oils / 1000
            scaled = replace(
                WORKED,
                oils=[replace(o, grams=o.grams * times) for o in WORKED.oils],
                acids=[replace(a, grams=a.grams * times) for a in WORKED.acids],
                water=None,
                evaporated=D(0),
            )
            assert abs(saponify(scaled).koh_weighed - left) < D("0.001")

    def test_grams_rounded_on_the_scale_move_the_alkali_by_less_than_a_milligram(self):
        recipe = Recipe([Oil("rapeseed", D(1000), D(190))], D("0.02"), koh_purity=D(1))
        oils = round(oils_for_alkali(recipe, D("500")), 3)
        again = replace(recipe, oils=[Oil("rapeseed", oils, D(190))])
        assert abs(saponify(again).koh_weighed - 500) <= D("0.001")

    def test_the_other_alkali_decides_as_well(self):
        weighed = saponify(WORKED).naoh_weighed
        assert abs(oils_for_alkali(WORKED, weighed, "NaOH") - 1000) < D("1e-40")

    def test_an_alkali_that_is_not_in_it_is_refused(self):
        recipe = replace(WORKED, koh_share=D(1))
        with pytest.raises(Refused, match="takes no NaOH"):
            oils_for_alkali(recipe, D(100), "NaOH")

    def test_oils_for_paste_leave_that_much_after_the_loss(self):
        paste = saponify(WORKED).paste
        loss = Loss(D("0.25"), "stated")
        oils = oils_for_paste(WORKED, paste * D("0.75"), loss)
        assert abs(oils - 1000) < D("1e-20")

    def test_without_lye_water_no_paste_is_known(self):
        dry = replace(WORKED, water=None, evaporated=D(0))
        with pytest.raises(Refused, match="lye water"):
            oils_for_paste(dry, D(100), NONE)


class TestKettle:
    """Twice the batch, three times where it rises more: common practice, no source."""

    # 1,000 g of oils, 250 of KOH, 250 of water: 1,500 g in all.
    RECIPE = Recipe(
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

    def test_a_denser_batch_takes_less_room(self):
        load = oils_for_vessel(self.RECIPE, D(6000), False, D(0), density=D("1.1"))
        assert load.oils == 2200

    def test_what_boils_off_stands_in_the_kettle_first(self):
        steaming = replace(self.RECIPE, evaporated=D(200))
        assert oils_for_vessel(steaming, D(6000), False, D(0)).oils == 2000

    def test_a_plan_that_does_not_fit_is_told(self):
        assert fits(self.RECIPE, D(3000), False, D(0)) is None
        said = fits(self.RECIPE, D(2999), False, D(0))
        assert "1000 g of oils are too much" in said
        assert "999.667 g are oils" in said


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
        found = chain(contents={PASTE.key: D("0.5")})
        assert found.stage(2).plan.content == D("0.5")
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
            plan_back(chain(cook(), lyes=()), {1: D(1000)})

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
        wet = amounts(cooked(cook(others=(line(GLYCERIN, "0.1", "lye"),))))
        assert wet["Glycerin"] == 100
        assert round(wet["Water"], 9) == round(plain["Water"] - 100, 9)

    def test_what_is_added_late_leaves_the_water_alone(self):
        plain = amounts(cooked(cook()))
        late = amounts(cooked(cook(others=(line(GLYCERIN, "0.1", "late"),))))
        assert late["Water"] == plain["Water"]
        assert sum(late.values()) == sum(plain.values()) + 100

    def test_more_liquid_than_lye_water_is_refused(self):
        with pytest.raises(Refused, match="other liquid in the lye"):
            cooked(cook(others=(line(GLYCERIN, "0.9", "lye"),)))

    def test_an_acid_in_the_lye_takes_alkali_of_its_own(self):
        sour = cook(others=(line(CITRIC, "0.02", "lye"),))
        with pytest.raises(Refused, match="purity of the Citric acid"):
            cooked(sour)
        found = amounts(cooked(sour, purities={CITRIC.key: D(1)}))
        # 20 g / 192.123 g/mol x 3 x 56.1053 g/mol / 0.9.
        more = found["Potassium hydroxide"] - D("184.3") / D("0.9")
        assert round(more, 3) == round(
            20 / D("192.123") * 3 * D("56.1053") / D("0.9"), 3
        )

    def test_water_as_a_line_is_the_lye_water_where_no_term_sets_it(self):
        tap = Material(7, "Tap water", category="water", on_tap=True)
        found = amounts(cooked(cook(water_per_alkali=None, others=(line(tap, "0.4"),))))
        assert found["Tap water"] == 400
        assert "Water" not in found

    @pytest.mark.parametrize("goes_in", ["", "lye", "late"])
    def test_the_paste_of_the_chemistry_is_all_that_goes_in(self, goes_in):
        parts = (line(GLYCERIN, "0.1", goes_in), line(CITRIC, "0.02", "lye"))
        made = chain(cook(others=parts), purities={CITRIC.key: D("0.99")})
        plan = made.stage(1).plan
        whole = sum(amounts(plan.for_oils(D(1000), WATER)).values())
        assert abs(whole - plan.cooked(D(1000)).paste) < D("1e-20")

    def test_without_any_lye_water_it_is_asked_for(self):
        with pytest.raises(Refused, match="lye water"):
            cooked(cook(water_per_alkali=None))

    def test_two_alkalis_are_weighed_side_by_side(self):
        found = amounts(cooked(cook(koh_share=D("0.9")), lyes=LYES))
        assert round(found["Potassium hydroxide"], 3) == D("184.300")
        # 0.0998 x 190 x 0.97 x 40.00 / 56.11 of NaOH, within a gram.
        assert round(found["Sodium hydroxide"]) == 13

    def test_an_oil_without_a_value_is_named(self):
        bare = CookPlan((Line(replace(PAIL, oil=None), D(1)),), D(0))
        with pytest.raises(Refused, match="Rapeseed oil has no saponification value"):
            bare.recipe()


def cooked(stage, lyes=LYES[:1], **told):
    return chain(stage, lyes=lyes, **told).stage(1).plan.for_oils(D(1000), WATER)


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


class TestDays:
    def test_each_stage_waits_for_the_one_before(self):
        waits = [Wait("cook", 1), Wait("dilution", 2), Wait("filling", 10)]
        found = first_day(date(2026, 2, 25), waits)
        assert found.ready == (
            ("cook", date(2026, 2, 26)),
            ("dilution", date(2026, 2, 28)),
            ("filling", date(2026, 3, 10)),
        )
        assert found.on == date(2026, 3, 10)

    def test_nothing_to_wait_for_is_today(self):
        assert first_day(date(2026, 3, 2), []).on == date(2026, 3, 2)

    def test_a_wait_below_zero_is_refused(self):
        with pytest.raises(Refused, match="cannot wait -1 days"):
            first_day(date(2026, 3, 2), [Wait("cook", -1)])

    def test_the_longest_way_counts_and_not_the_sum(self):
        side = Stage(
            9, "premix", "preparation", GLYCERIN, SharePlan((line(CITRIC, 1),)), NONE, 2
        )
        found = longest_wait(chain(cook(), dilution(), finishing(), filling(), side))
        assert [wait.stage for wait in found] == [
            "cook",
            "dilution",
            "finishing",
            "filling",
        ]
        assert [wait.days for wait in found] == [1, 2, 0, 10]


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
