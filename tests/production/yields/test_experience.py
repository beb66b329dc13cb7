"""What batches lost before, and the recipes behind a recipe, read from the book."""

from dataclasses import replace
from decimal import Decimal as D

import pytest

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.correcting.actions.undoing import undo_deed
from production.models import Formula, Item, ReferenceOil, VersionLine
from production.quantities.domain.refusal import Refused
from production.recipes.actions.formulas import NewVersionLine
from production.recipes.domain.pot import Lye
from production.recipes.domain.scaling.chain import Target, plan_back
from production.recipes.domain.scaling.goods import WATER
from production.recipes.domain.scaling.plans import (
    CookPlan,
    DilutionPlan,
    FillingPlan,
    SharePlan,
    Tub,
)
from production.recipes.domain.scaling.settle import settle, unknown_losses
from production.recipes.domain.scaling.stock_view import StockView
from production.recipes.domain.scaling.work_out import Facts, work_out
from production.recipes.reads.chain import chain_as_made, chain_to
from production.recipes.reads.cooking import material
from production.recipes.reads.experience import median_losses
from production.yields.domain.losses import Loss
from tests import make
from tests.once import remembered
from tests.wrackline import recipe, set_up

pytestmark = pytest.mark.django_db


def dilution(name="thin", **terms):
    """A recipe for diluted soap: half paste, half water."""
    return make.version(
        "dilution",
        name=name,
        makes=make.item("diluted soap", kind="made"),
        lines=[NewVersionLine(make.item("paste", kind="made"), share=D("0.5"))],
        band=D("0.9"),
        **terms,
    )


def thin(version, made, used="1000", on=2, **facts):
    """A batch of it that took ``used`` grams and gave ``made``."""
    paste = make.proven(grams=used, item=make.item("paste", kind="made"))
    uses = [(paste, used)]
    return make.batch(uses=uses, amount=made, version=version, on=make.day(on), **facts)


def learnt(version):
    return median_losses([version.formula])[version.formula_id]


class TestLosses:
    def test_the_middle_of_the_batches(self):
        version = dilution()
        for made in ("990", "900", "970"):
            thin(version, made)
        found = learnt(version)
        assert (found.median, found.batches) == (D("0.03"), 3)
        assert (found.lowest, found.highest) == (D("0.01"), D("0.1"))

    def test_only_the_latest_five_count_whatever_the_order_of_typing(self):
        version = dilution()
        for on, made in enumerate(("990", "980", "970", "960", "950"), start=6):
            thin(version, made, on=on)
        thin(version, "500", on=5)
        found = learnt(version)
        assert (found.median, found.batches) == (D("0.03"), 5)

    def test_any_wording_of_the_recipe_counts(self):
        first, second = dilution(), dilution(rest_days=1)
        assert first.formula == second.formula
        thin(first, "990")
        thin(second, "970")
        assert learnt(second).median == D("0.02")

    def test_none_without_a_batch_and_the_others_do_not_count(self):
        version, other = dilution(), dilution("thinner")
        thin(other, "900")
        found = median_losses(Formula.objects.all())
        assert found[version.formula_id] is None
        assert found[other.formula_id].batches == 1

    def test_trials_are_left_out(self):
        version = dilution()
        thin(version, "900", trial=True)
        assert learnt(version) is None

    def test_what_was_taken_back_is_left_out(self):
        version = dilution()
        thin(version, "990")
        wrong = thin(version, "500")
        undo_deed(undone=wrong.deed, reason="typed twice", **make.act(3))
        assert learnt(version).median == D("0.01")

    def test_an_open_batch_is_left_out(self):
        version = dilution()
        batch = start_batch(stage="dilution", version=version, **make.act())
        paste = make.proven(item=make.item("paste", kind="made"))
        uses = [Use(lot=paste, amount=D(500))]
        use_lots(batch=batch, uses=uses, **make.act())
        assert learnt(version) is None

    def test_pieces_count_by_their_net_mass_and_packaging_not_at_all(self):
        version = filling()
        soap = make.proven(grams="5000", item=make.item("finished soap", kind="made"))
        make.batch(
            "filling",
            uses=[(soap, "2500"), (make.bottles(), "9")],
            makes="hand soap",
            unit="piece",
            amount="9",
            net_mass="250",
            version=version,
        )
        assert learnt(version).median == D("0.1")

    def test_pieces_of_unknown_mass_are_not_judged(self):
        version = filling()
        soap = make.proven(grams="5000", item=make.item("finished soap", kind="made"))
        make.batch(
            "filling",
            uses=[(soap, "2500")],
            makes="hand soap",
            unit="piece",
            amount="9",
            version=version,
        )
        assert learnt(version) is None

    @pytest.mark.parametrize("batches", [1, 7])
    def test_it_asks_as_often_however_many(self, batches, django_assert_num_queries):
        versions = [dilution(f"thin {n}") for n in range(batches)]
        for version in versions:
            thin(version, "990")
        with django_assert_num_queries(5):
            median_losses([version.formula_id for version in versions])


def filling(**terms):
    soap, bottle = make.item("finished soap", kind="made"), make.bottles().item
    return make.version(
        "filling",
        makes=make.item("hand soap", kind="made", unit="piece"),
        lines=[
            NewVersionLine(soap, each=D(250)),
            NewVersionLine(bottle, each=D(1)),
        ],
        band=D("0.9"),
        **terms,
    )


@pytest.fixture
@remembered
def wrackline(db):
    """The demo's cards and recipes, with nothing made yet."""
    set_up()


def small():
    return recipe("Tideline 8 fl oz, filling")


def told(found):
    """The demo's chain with its tub of potash, and no loss where none is written."""
    potash = material(Item.objects.get(category="alkali"))
    tub = Tub(replace(potash, alkali="KOH"), Lye(D("0.899"), D("0.004")))
    none = {stage.key: Loss(D(0), "stated") for stage in unknown_losses(found)}
    return settle(found, losses=none, tubs=[tub])


class TestChainOfTheDemo:
    def test_the_stages_stand_from_the_shelf_back_to_the_kettle(self, wrackline):
        found = chain_to(small(), recipe("Tideline 16 fl oz, filling"))
        assert [stage.name for stage in found.stages] == [
            "Tideline 8 fl oz, filling",
            "Tideline 16 fl oz, filling",
            "Tideline, finishing",
            "Tideline, dilution",
            "Tideline, cook",
            "Brine, 20 %",
        ]
        kinds = [type(stage.plan) for stage in found.stages]
        assert kinds == [
            FillingPlan,
            FillingPlan,
            SharePlan,
            DilutionPlan,
            CookPlan,
            SharePlan,
        ]
        assert (found.water.name, found.water.on_tap) == ("Filtered tap water", True)

    def test_values_are_plain_and_terms_are_passed_on(self, wrackline):
        stage = chain_to(small()).stages[3]
        oil = ReferenceOil.objects.get(key="babassu-oil")
        babassu = stage.plan.oils[1]
        assert (babassu.item.name, babassu.share) == ("Babassu oil", D("0.22"))
        fat = babassu.fat
        assert (fat.sv, fat.sv_low, fat.sv_high) == (oil.sv, oil.sv_low, oil.sv_high)
        assert stage.terms["superfat"] == stage.plan.terms.superfat == D("0.02")
        assert stage.terms["shelf_days"] == 730
        assert stage.loss == Loss(D("0.031"), "as the recipe expects")

    def test_forty_bottles_all_the_way(self, wrackline):
        """By hand in tests/published/test_scaling.py: 1,847.698 g of oils."""
        found = chain_to(small())
        unknown = unknown_losses(found)
        assert [stage.name for stage in unknown] == [
            small().formula.name,
            "Brine, 20 %",
        ]
        plan = plan_back(told(found), {small().pk: D(40)})
        assert round(plan.stages[3].oils, 3) == D("1847.698")

    def test_the_days_it_waits(self, wrackline):
        """A night of steps and a day of rest in the kettle, two nights of softening,
        ten days of rest after filling.
        """
        facts = Facts(StockView({}), make.day(1))
        plan = work_out(told(chain_to(small())), {small().pk: Target(D(40))}, facts)
        assert plan.first_sale == make.day(1 + 1 + 1 + 2 + 10)

    def test_as_many_queries_for_one_as_for_all(
        self, wrackline, django_assert_max_num_queries
    ):
        one = small()
        fillings = [formula.versions.get() for formula in _fillings()]
        # Wordings, lines, compositions of the oils, waters; of several waters the one
        # that stands open on the workshop's day, in its zone. No acid asks for its
        # purity.
        with django_assert_max_num_queries(7):
            chain_to(one)
        with django_assert_max_num_queries(7):
            found = chain_to(*fillings)
        assert len(found.stages) == 10
        with django_assert_max_num_queries(8):
            chain_as_made(*fillings)


def _fillings():
    return Formula.objects.filter(stage="filling")


class TestChain:
    def test_the_latest_wording_counts_but_the_one_asked_for_is_taken(self):
        old, new = dilution(), dilution(rest_days=3)
        finish = make.version(
            "finishing",
            makes=make.item("finished soap", kind="made"),
            lines=[NewVersionLine(new.formula.makes, share=D(1))],
        )
        assert [stage.key for stage in chain_to(finish).stages] == [finish.pk, new.pk]
        assert [stage.key for stage in chain_to(old).stages] == [old.pk]

    def test_made_here_without_a_recipe_stays_a_need(self):
        version = dilution(loss=D(0))
        plan = plan_back(chain_to(version), {version.pk: D(100)})
        assert [need.item.name for need in plan.needs] == ["paste", WATER.name]

    def test_a_rework_is_no_way_of_making(self):
        version = dilution()
        make.version(
            "rework",
            makes=make.item("paste", kind="made"),
            lines=[NewVersionLine(version.formula.makes, share=D(1))],
        )
        assert [stage.key for stage in chain_to(version).stages] == [version.pk]

    def test_a_circle_is_refused(self):
        version = dilution()
        make.version(
            "preparation",
            makes=make.item("paste", kind="made"),
            lines=[NewVersionLine(version.formula.makes, share=D(1))],
        )
        with pytest.raises(Refused, match="circle"):
            chain_to(version)

    def test_grams_in_a_piece_have_to_be_written(self):
        soap = make.item("finished soap", kind="made")
        version = make.version(
            "filling",
            makes=make.item("hand soap", kind="made", unit="piece"),
            lines=[NewVersionLine(soap, share=D(1))],
        )
        with pytest.raises(Refused, match="how many grams of finished soap"):
            chain_to(version)

    def test_an_alkali_as_a_line_is_refused(self):
        oil = make.item("rapeseed oil", category="oil")
        flakes = make.item("flakes", category="alkali", alkali="KOH")
        version = make.version(lines=[NewVersionLine(oil, share=D(1))])
        VersionLine.objects.create(
            version=version, position=2, item=flakes, share=D("0.2")
        )
        with pytest.raises(Refused, match="Leave flakes out of the lines"):
            chain_to(version)

    def test_a_target_without_a_paste_is_refused(self):
        version = make.version(
            "dilution",
            makes=make.item("diluted soap", kind="made"),
            lines=[NewVersionLine(make.item("glycerin"), share=D("0.1"))],
            target_soap=D("0.2"),
        )
        with pytest.raises(Refused, match="names no paste"):
            chain_to(version)

    def test_what_the_batches_lost_comes_before_what_the_recipe_expects(self):
        version = dilution(loss=D("0.05"))
        assert chain_as_made(version).stages[0].loss.share == D("0.05")
        thin(version, "990")
        found = chain_as_made(version).stages[0].loss
        assert found == Loss(D("0.01"), "the last batch")

    def test_water_of_the_house_comes_before_bought_water(self):
        make.item("a bought water", category="water")
        assert chain_to(dilution()).water.name == "a bought water"
        make.item("tap", category="water", on_tap=True)
        assert chain_to(dilution()).water.name == "tap"
        assert Item.objects.filter(category="water").count() == 2
