"""The one planner: what is weighed, out of which lots, of what strength, and when.

Values of oils are invented unless a source stands beside them; molar masses follow
from CIAAW's atomic weights: KOH 56.1053, NaOH 39.997, glycerol 92.094, water 18.015.
The sums beside the plans use nothing of the code that they check.
"""

from dataclasses import replace
from datetime import date, timedelta
from decimal import ROUND_FLOOR, localcontext
from decimal import Decimal as D

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from production.chemistry.domain.constants import EXACT
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Fat, Lye
from production.recipes.domain.scaling.chain import (
    OILS,
    TOGETHER,
    Stage,
    Target,
    plan_back,
)
from production.recipes.domain.scaling.kettle import Kettle
from production.recipes.domain.scaling.limits import Limits
from production.recipes.domain.scaling.plans import FillingPlan, SharePlan, Tub
from production.recipes.domain.scaling.settle import Known, settle
from production.recipes.domain.scaling.stock_view import OfLot, StockView
from production.recipes.domain.scaling.work_out import Facts, work_out
from production.stock.domain.ledger import Candidate
from production.yields.domain.losses import Loss
from tests.production.chemistry.chemistry_cases import decimals
from tests.production.recipes.chain_cases import (
    BOTTLE,
    BOX,
    CITRIC,
    FINISHED,
    GLYCERIN,
    HAND,
    KOH,
    NAOH,
    NONE,
    PAIL,
    PASTE,
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

TODAY = date(2026, 2, 25)
KOH_G, NAOH_G, GLYCEROL_G, WATER_G = (
    D(text) for text in ("56.1053", "39.997", "92.094", "18.015")
)
STEPS = st.sampled_from([D(text) for text in ("0.001", "0.1", "0.5", "1", "2", "5")])
LOSSES = decimals(0, "0.25", 4)


def lot(code, grams, expiry=None):
    return Candidate(code, D(grams), expiry, date(2026, 1, 1))


def shelf(lots=(), packs=(), own=()):
    """Lots by material; whatever else a chain takes stands there in plenty."""
    plenty = {
        item.key: [lot(f"LOT-{item.key}", 10**9)]
        for item in (PAIL, GLYCERIN, CITRIC, BOTTLE)
    }
    plenty |= {KOH.key: [lot("K-1", 10**9)], NAOH.key: [lot("N-1", 10**9)]}
    return StockView(plenty | dict(lots), dict(packs), dict(own))


MADE = frozenset({PASTE.key, SOAP.key, FINISHED.key})


def facts(step="0.001", stands=None, **known):
    return Facts(stands or shelf(), TODAY, D(step), **known)


def weighed(stage):
    """What is weighed by the name of the material."""
    return {taken.need.item.name: taken.need.amount for taken in stage.taken}


def taken_of(stage, item):
    return next(taken for taken in stage.taken if taken.need.item == item)


def one_cook(amount="1000", step="0.001", stands=None, tubs=TUBS[:1], **terms):
    """A cook alone, for so many grams of oils."""
    made = chain(cook(**terms), tubs=tubs)
    return work_out(made, {1: Target(D(amount), OILS)}, facts(step, stands)).stage(1)


def near(found, within="0.01", **amounts):
    """Of what is made in the same plan as much is taken as comes out."""
    return set(found) == set(amounts) and all(
        abs(found[name] - amount) <= D(within) for name, amount in amounts.items()
    )


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


class TestCertificates:
    @given(
        decimals(170, 260, 1),
        decimals(170, 260, 1),
        decimals(1, 1500, 0),
        decimals(0, 9),
    )
    def test_the_lots_drawn_decide_the_alkali(self, first, second, held, acid_value):
        """The open lot first, the next one for the rest; each by its own value."""
        stands = shelf(
            {PAIL.key: [lot("OLD", held), lot("NEW", 9000)]},
            {PAIL.key: "OLD"},
            {"OLD": OfLot(first, acid_value), "NEW": OfLot(second)},
        )
        found = one_cook(stands=stands)
        part = min(held, D(1000))
        drawn = [(one.code, one.amount) for one in taken_of(found, PAIL).shares]
        rest = [("NEW", 1000 - part)] if part < 1000 else []
        assert drawn == [("OLD", part), *rest]
        asked = (part * first + (1000 - part) * second) / 1000 * D("0.97") / D("0.9")
        flakes = weighed(found)["Potassium hydroxide"]
        assert asked - D("0.00101") < flakes < asked + D("0.00001")
        assert abs(found.cooked.superfat.central - D("0.03")) < D("0.00001")

    def test_what_no_lot_covers_is_as_published(self):
        stands = shelf({PAIL.key: [lot("OLD", 400)]}, own={"OLD": OfLot(D(200))})
        found = one_cook(stands=stands, step="0.1")
        # 400 g at 200 and 600 g at 190.
        asked = (D(80) + D(114)) * D("0.97") / D("0.9")
        assert weighed(found)["Potassium hydroxide"] == asked.quantize(
            D("0.1"), ROUND_FLOOR
        )
        assert taken_of(found, PAIL).short == 600

    def test_a_certificate_of_a_lot_that_is_not_drawn_changes_nothing(self):
        stands = shelf(
            {PAIL.key: [lot("OLD", 5000, TODAY + timedelta(9)), lot("NEW", 5000)]},
            own={"NEW": OfLot(D(250))},
        )
        assert weighed(one_cook(stands=stands)) == weighed(one_cook())

    @pytest.mark.parametrize("acid_value", ["0", "20"])
    def test_free_acid_splits_off_water_for_glycerol(self, acid_value):
        """Of 190 mg/g so many are free acid, which gives water and no glycerol: more
        soap in the paste, so less of it and less alkali for the same bottles."""
        own = {f"LOT-{PAIL.key}": OfLot(D(190), D(acid_value))}
        made = chain(cook(superfat=D(0)), dilution())
        plan = work_out(made, {2: Target(D(5000))}, facts(stands=shelf(own=own)))
        free = D(acid_value) / KOH_G
        esters = (190 - D(acid_value)) / KOH_G
        soap = 1000 + 190 - esters / 3 * GLYCEROL_G - free * WATER_G
        whole = 1000 + 3 * 190 / D("0.9")
        content = soap / whole
        assert abs(plan.stage(1).content - content) < D("1e-5")
        paste = 5000 * D("0.2") / content
        assert abs(weighed(plan.stage(2))["Paste"] - paste) < D("0.01")
        flakes = paste / whole * 190 / D("0.9")
        assert abs(weighed(plan.stage(1))["Potassium hydroxide"] - flakes) < D("0.01")


class TestAsMuchAsThereIs:
    TUB = Limits(tub=True)

    @given(
        STEPS,
        decimals(500, 9000),
        decimals(170, 260, 1),
        decimals("0.84", "0.99", 3),
    )
    # The oils are rounded up, and what they ask for would be 760.0 of these 759.948 g.
    @example(D(1), D("759.948"), D("226.6"), D("0.9"))
    def test_as_much_as_the_tub_gives(self, step, held, sv, purity):
        """By the certificate of the oil that is drawn: no more alkali than the tub
        holds, and a step more oil would ask for more than can be weighed out of it.
        """
        stands = shelf(
            {KOH.key: [lot("K-1", held)]}, own={f"LOT-{PAIL.key}": OfLot(sv)}
        )
        made = chain(cook(), tubs=(Tub(KOH, Lye(purity, source="K-1")),))
        plan = work_out(made, {1: None}, facts(step, stands), self.TUB)
        stage = plan.stage(1)
        flakes = taken_of(stage, KOH)
        assert KOH.name in plan.bound_by
        assert flakes.need.amount <= held
        assert flakes.short == 0
        with localcontext(EXACT):
            more = (stage.oils + step) * sv / 1000 * D("0.97") / purity
            assert more > held // step * step

    def test_bottles_out_of_a_tub(self):
        """The published value is 190, and the lot's own is 200: the tub gives fewer."""
        own = {f"LOT-{PAIL.key}": OfLot(D(200))}
        tub = {KOH.key: [lot("K-1", 400)]}
        plan = work_out(chain(), {4: None}, facts("1", shelf(tub, own=own)), self.TUB)
        loose = work_out(chain(), {4: None}, facts("1", shelf(tub)), self.TUB)
        made = plan.stage(4).comes_out
        assert made < loose.stage(4).comes_out
        assert weighed(plan.stage(1))["Potassium hydroxide"] <= 400
        asked = work_out(
            chain(), {4: Target(made + 1)}, facts("0.001", shelf(tub, own=own))
        )
        assert weighed(asked.stage(1))["Potassium hydroxide"] > 400

    def test_only_the_chosen_tub_counts(self):
        """Another tub of flakes stands there, of which no purity was counted with."""
        stands = shelf({KOH.key: [lot("K-2", 90000), lot("K-1", 100)]})
        plan = work_out(chain(cook()), {1: None}, facts(stands=stands), self.TUB)
        flakes = taken_of(plan.stage(1), KOH)
        assert [share.code for share in flakes.shares] == ["K-1"]
        assert D("99.998") <= flakes.need.amount <= 100
        asked = work_out(chain(cook()), {1: Target(D(5000))}, facts(stands=stands))
        flakes = taken_of(asked.stage(1), KOH)
        assert [(one.code, one.amount) for one in flakes.shares] == [("K-1", 100)]
        assert flakes.short == flakes.need.amount - 100 > 0

    def test_so_much_oil_or_paste_or_what_a_kettle_takes(self):
        made = chain(cook())
        by_oil = work_out(made, {1: None}, facts(), Limits(oils=D(2500)))
        assert by_oil.stage(1).oils == 2500
        kettle = Kettle(D(9000), frozenset({1}))
        by_kettle = work_out(made, {1: None}, facts(), Limits(kettle=kettle))
        # A first cook fills a third of it: 3,000 g, of which 1,000 in 1,614.333 g.
        whole = 1000 + 3 * D("184.3") / D("0.9")
        oils = 3000 * 1000 / whole
        assert abs(by_kettle.stage(1).oils - oils) <= D("0.0005")
        assert by_kettle.remarks == ()
        known = {PASTE.key: Known(D("0.5"), "measured")}
        thin = settle(chain(cook(), dilution()), contents=known)
        by_paste = work_out(thin, {2: None}, facts(), Limits(paste=D(400)))
        assert near(weighed(by_paste.stage(2)), Paste=400, Water=600)
        # Of 400.7 g a balance of 1 g cannot take 401.
        coarse = work_out(thin, {2: None}, facts("1"), Limits(paste=D("400.7")))
        assert near(weighed(coarse.stage(2)), "10", Paste=400, Water=600)

    def test_more_than_the_kettle_takes_is_said(self):
        kettle = Limits(kettle=Kettle(D(3000)))
        plan = work_out(chain(cook()), {1: Target(D(9000))}, facts(), kettle)
        (remark,) = plan.remarks
        assert "too much for this kettle" in remark

    def test_with_nothing_named_it_is_asked_for(self):
        with pytest.raises(Refused, match="Write how much is wanted"):
            work_out(chain(), {4: None}, facts())


class TestWhatStandsReady:
    KNOWN = {PASTE.key: Known(D("0.5"), "measured")}

    def thin(self, held, wanted="1000", step="0.001"):
        stands = shelf({PASTE.key: [lot("P-1", held)]})
        known = facts(step, stands, ready=MADE, pastes=self.KNOWN)
        return work_out(chain(cook(), dilution()), {2: Target(D(wanted))}, known)

    def test_a_paste_counts_with_its_own_soap_content(self):
        """1,000 g at 20 % of a paste of 50 %: 400 g, and no cook."""
        plan = self.thin("5000")
        (stage,) = plan.stages
        assert weighed(stage) == {"Paste": 400, "Water": 600}
        assert [one.code for one in taken_of(stage, PASTE).shares] == ["P-1"]

    def test_what_it_lacks_is_cooked_and_counts_with_the_cooks(self):
        """100 g hold 50 g of soap; the rest of the 200 g comes out of the kettle."""
        plan = self.thin("100")
        paste = taken_of(plan.stage(2), PASTE)
        assert [(one.code, one.amount) for one in paste.shares] == [("P-1", 100)]
        cooked = plan.stage(1)
        soap = D("0.97") * (1000 + 190 - 190 / KOH_G / 3 * GLYCEROL_G)
        content = soap / (1000 + 3 * D("184.3") / D("0.9"))
        # Of 230 g, to the milligram of each.
        assert abs(cooked.content - content) < D("2e-5")
        assert abs(paste.made_above - 150 / content) < D("0.01")
        assert abs(cooked.comes_out - 150 / content) < D("0.01")
        assert abs(sum(weighed(plan.stage(2)).values()) - 1000) <= D("0.01")

    def test_it_is_left_where_it_stands_unless_asked_for(self):
        stands = shelf({PASTE.key: [lot("P-1", 5000)]})
        made = chain(cook(), dilution())
        plan = work_out(made, {2: Target(D(1000))}, facts(stands=stands))
        paste = taken_of(plan.stage(2), PASTE)
        assert (paste.shares, paste.short) == ((), 0)
        assert paste.made_above == paste.need.amount

    def test_finished_soap_is_poured_before_more_is_made(self):
        stands = shelf({FINISHED.key: [lot("F-1", 400)]})
        plan = work_out(chain(), {4: Target(D(4))}, facts(stands=stands, ready=MADE))
        assert plan.stage(3).comes_out == 600
        soap = taken_of(plan.stage(4), FINISHED)
        assert [(one.code, one.amount) for one in soap.shares] == [("F-1", 400)]
        assert (soap.made_above, soap.short) == (600, 0)


class TestWhatIsShort:
    def test_it_is_named_with_what_is_there(self):
        stands = shelf(
            {
                PAIL.key: [lot("OIL-1", 60), lot("OIL-2", 40)],
                BOTTLE.key: [lot("B-1", 5)],
                GLYCERIN.key: [],
            }
        )
        plan = work_out(chain(), {4: Target(D(8))}, facts(stands=stands))
        oils = plan.stage(1).oils
        assert oils > 100
        assert {
            short.item.name: (short.needed, short.on_hand, short.short)
            for short in plan.buy
        } == {
            "Rapeseed oil": (oils, 100, oils - 100),
            "Bottle": (8, 5, 3),
            "Glycerin": (100, 0, 100),
            # Water is no lot and not on tap: it has to be had.
            "Water": (need := _water(plan), 0, need),
        }
        short = taken_of(plan.stage(1), PAIL)
        assert [one.code for one in short.shares] == ["OIL-1", "OIL-2"]
        assert short.short == oils - 100
        assert taken_of(plan.stage(4), BOTTLE).short == 3
        # What a stage before makes is never short.
        assert taken_of(plan.stage(2), PASTE).short == 0

    def test_two_stages_do_not_take_the_same_grams(self):
        side = Stage(9, "blend", "preparation", CITRIC, SharePlan((line(GLYCERIN, 1),)))
        sour = SharePlan(
            (line(SOAP, "0.9"), line(GLYCERIN, "0.05"), line(CITRIC, "0.05"))
        )
        made = chain(replace(side, loss=NONE), replace(finishing(), plan=sour), tubs=())
        stands = shelf({GLYCERIN.key: [lot("G-1", 80)], SOAP.key: [lot("S-1", 9000)]})
        plan = work_out(made, {3: Target(D(1000))}, facts(stands=stands))
        first, then = (taken_of(plan.stage(key), GLYCERIN) for key in (9, 3))
        assert (first.short, then.short) == (0, 20)
        assert [one.amount for one in (*first.shares, *then.shares)] == [50, 30]
        assert [(one.item, one.short) for one in plan.buy] == [(GLYCERIN, 20)]


def _water(plan):
    return sum(weighed(stage).get("Water", 0) for stage in plan.stages)


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
