"""What the one planner takes of the lots that stand there.

By their certificates, up to as much as there is, what stands ready before what is made
anew; what is short is told. Molar masses follow from CIAAW's atomic weights.
"""

from dataclasses import replace
from datetime import timedelta
from decimal import ROUND_FLOOR, localcontext
from decimal import Decimal as D

import pytest
from hypothesis import example, given

from production.chemistry.domain.constants import EXACT
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Lye
from production.recipes.domain.scaling.chain import Stage, Target
from production.recipes.domain.scaling.kettle import Kettle
from production.recipes.domain.scaling.limits import Limits
from production.recipes.domain.scaling.plans import SharePlan, Tub
from production.recipes.domain.scaling.settle import Known, settle
from production.recipes.domain.scaling.stock_view import OfLot
from production.recipes.domain.scaling.work_out import work_out
from tests.production.chemistry.chemistry_cases import decimals
from tests.production.recipes.chain_cases import (
    BOTTLE,
    CITRIC,
    FINISHED,
    GLYCERIN,
    KOH,
    NONE,
    PAIL,
    PASTE,
    SOAP,
    chain,
    cook,
    dilution,
    finishing,
    line,
)
from tests.production.recipes.planned_stock import (
    GLYCEROL_G,
    KOH_G,
    MADE,
    STEPS,
    TODAY,
    WATER_G,
    facts,
    lot,
    near,
    one_cook,
    shelf,
    taken_of,
    weighed,
)


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
