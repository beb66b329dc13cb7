"""What counts as a check: the method, the figure, and what the pot can hold.

0.1 % free alkali as NaOH is the limit of SNI 06-3532-1994; x 56.1053 / 39.9968 that is
0.140274 % as KOH. All lots and figures are invented.
"""

from decimal import Decimal as D

import pytest

from production.batches.actions.days import craft_day
from production.batches.actions.new_batch import NewBatch, Output, Use
from production.models import Lot, Measurement, ReferenceOil
from production.recipes.actions.rules_of_thumb import write_rule
from production.recipes.domain.limits import NewCheck
from production.release.actions.readings import (
    note_measurement,
    note_step,
    record_measurement,
)
from production.release.actions.statuses import hold_lot, release_lot
from production.stock.actions.opening_lots import Reading
from production.stock.domain.checks import HOUSE_LIMIT, PH_FAILS_ABOVE, spots_of
from tests import make
from tests.make import act, day

pytestmark = pytest.mark.django_db


def paste(code="P1", oil="1000", potash="207", made="1500", version=None, **facts):
    """1,000 g of olive oil and potash of 90 %: a soap in which alkali is known."""
    olive = ReferenceOil.objects.get(key="olive-oil")
    fat = make.lot(grams="5000", item=make.item("olive", category="oil", oil=olive))
    water = make.lot(grams="9000", item=make.item("water", category="water"))
    known = Lot.objects.filter(code="K1").first()
    uses = [(fat, oil), (known or make.koh(), potash), (water, "500")]
    return make.batch(
        "cook",
        uses=uses,
        makes="paste",
        amount=made,
        code=code,
        version=version,
        status="quarantine",
        **facts,
    )


def note(lot, *, number=3, batch=None, by=None, **parts):
    """One reading as it was stored."""
    reading = Reading(**parts)
    of = {"batch": batch} if batch else {"lot": lot}
    note_measurement(readings=[reading], **of, **act(number, by))
    return Measurement.objects.latest("pk")


def titrated(lot, percent, **facts):
    return note(lot, what="free alkali", value=D(percent) / 100, **facts)


class TestTheLimit:
    def test_it_is_the_published_one_counted_as_koh(self):
        assert D("0.001403") == HOUSE_LIMIT

    @pytest.mark.parametrize(
        ("percent", "passed"), [("0", True), ("0.1403", True), ("0.1404", False)]
    )
    def test_a_titration_passes_up_to_it(self, percent, passed):
        row = titrated(paste(), percent)
        assert (row.passed, row.method) == (passed, "titration")

    def test_a_stricter_recipe_binds_and_a_laxer_one_is_not_written(self):
        check = NewCheck("free alkali", high=D("0.0005"))
        lot = paste(version=make.version(checks=[check]))
        assert titrated(lot, "0.06").passed is False
        with make.refused("0.3 % free alkali as KOH", "0.14 %", "SNI 06-3532-1994"):
            make.version(checks=[NewCheck("free alkali", high=D("0.003"))])

    def test_what_was_once_written_too_high_binds_no_looser_than_the_house(self):
        check = NewCheck("free alkali", high=D("0.01"))
        version = make.version(checks=[check], past=True)
        assert titrated(paste(version=version), "0.5").passed is False


class TestTheFigure:
    def test_passed_over_a_figure_beyond_the_limit_is_refused(self):
        lot = paste()
        with make.refused("5 % free alkali as KOH is above", "0.14 %", "P1"):
            titrated(lot, "5", passed=True)

    def test_not_passed_under_it_is_asked_back(self):
        lot = paste()
        with make.refused("0.02 % free alkali is within 0.14 %"):
            titrated(lot, "0.02", passed=False)

    def test_less_than_none_is_refused(self):
        lot = paste()
        with make.refused("-0.1 % free alkali is less than none"):
            titrated(lot, "-0.1")

    def test_more_than_the_pot_holds_is_refused(self):
        # 207 g x 0.9 = 186.3 g of KOH in 1,500 g: 12.42 %.
        lot = paste()
        with make.refused("50 % free alkali", "12.42 %", "total alkali"):
            titrated(lot, "50")
        assert titrated(lot, "12").passed is False

    def test_where_the_alkali_is_not_known_the_figure_stands(self):
        bought = make.lot(item=make.item("bought paste", category="soap"))
        assert titrated(bought, "30").passed is False

    def test_a_verdict_on_it_needs_the_figure(self):
        lot = paste()
        with make.refused("Write how much free alkali was found"):
            note(lot, what="free alkali", passed=True)

    def test_a_tub_of_alkali_has_no_free_alkali(self):
        tub = make.koh()
        with make.refused("K1 is alkali and no soap", "its own page"):
            titrated(tub, "0")

    def test_lye_without_fat_passes_no_check(self):
        water = make.lot(item=make.item("water", category="water"))
        lye = make.batch(
            "preparation", uses=[(make.koh(), "500"), (water, "500")], makes="lye"
        )
        with make.refused("is lye", "no check"):
            note(lye, what="neutrality", passed=True)


class TestTheMethod:
    def test_a_drop_test_names_its_spots(self):
        lot = paste()
        with make.refused("two at least"):
            note(lot, what="neutrality", passed=True, method="drop test", where="top")
        row = note(
            lot,
            what="neutrality",
            passed=True,
            method="drop test",
            where="top, wall",
        )
        assert (row.method, row.where) == ("drop test", "top, wall")

    @pytest.mark.parametrize("where", ["top, Top", "top and top", "", "  ;  "])
    def test_one_spot_named_twice_is_one(self, where):
        assert len(spots_of(where)) < 2

    def test_a_suppliers_paper_speaks_of_what_was_bought_only(self):
        lot = paste()
        with make.refused("P1 was made here"):
            titrated(lot, "0.05", method="supplier", where="CoA 17")

    def test_a_paper_is_named(self):
        bought = make.lot(item=make.item("bought paste", category="soap"))
        with make.refused("Name the paper"):
            titrated(bought, "0.05", method="supplier")
        row = titrated(bought, "0.05", method="supplier", where="CoA 17, 2026-02-01")
        assert row.passed is True

    def test_a_titration_without_its_figure_is_no_check(self):
        lot = paste()
        with make.refused("gives a figure"):
            note(lot, what="neutrality", passed=True, method="titration")

    def test_before_this_book_is_no_method_of_today(self):
        lot = paste()
        with make.refused("Filled lots"):
            note(lot, what="neutrality", passed=True, method="before", where="card")


class TestPH:
    def test_above_11_5_a_soap_has_failed(self):
        lot = paste()
        assert note(lot, what="pH", value=PH_FAILS_ABOVE).passed is None
        assert note(lot, what="pH", value=D("11.6")).passed is False
        assert note(None, batch=lot.batch, what="pH", value=D(13)).passed is False

    def test_a_recipes_band_that_reaches_higher_does_not_help(self):
        check = NewCheck("pH", low=D(9), high=D(14))
        lot = paste(version=make.version(checks=[check]))
        assert note(lot, what="pH", value=D(13)).passed is False

    def test_it_passes_nothing(self):
        lot = paste()
        with make.refused("pH alone passes nothing", "drop test"):
            note(lot, what="pH", value=D(10), passed=True)

    def test_inside_a_band_it_releases_nothing(self):
        check = NewCheck("pH", low=D(9), high=D("10.5"))
        lot = paste(version=make.version(checks=[check], release="check"))
        assert note(lot, what="pH", value=D(10)).passed is True
        assert status(lot) == "quarantine"

    def test_lye_as_such_and_plain_water_are_not_judged(self):
        water = make.lot(item=make.item("water", category="water"))
        assert note(water, what="pH", value=D(12)).passed is None
        lye = make.batch(
            "preparation", uses=[(make.koh(), "500"), (water, "500")], makes="lye"
        )
        assert note(lye, what="pH", value=D(14)).passed is None

    def test_alkali_neutralised_by_acid_is_judged_by_its_band_alone(self):
        acid = make.lot(item=make.item("citric acid", category="acid", acid="citric"))
        uses = [(make.koh(), "100"), (acid, "120")]
        lot = make.batch(
            "preparation", uses=uses, makes="citrate", amount="200", status=""
        )
        assert note(lot, what="pH", value=D(12)).passed is None


def status(lot):
    return Lot.objects.with_status().get(pk=lot.pk).status


class TestRelease:
    @pytest.fixture
    def waiting(self):
        return paste(version=make.version(release="check"))

    def test_a_titration_inside_its_limit_releases(self, waiting):
        titrated(waiting, "0.02")
        assert status(waiting) == "released"

    def test_a_laboratorys_figure_with_its_paper_releases(self, waiting):
        titrated(waiting, "0.02", method="laboratory", where="report 4/26")
        assert status(waiting) == "released"

    def test_a_sample_from_before_something_went_in_does_not(self, waiting):
        row = titrated(waiting, "0.02", sampled="before")
        assert row.sampled == "before"
        assert status(waiting) == "quarantine"
        with make.refused("is older than"):
            release_lot(lot=waiting, **act(4))

    def test_a_failed_titration_does_not_beside_a_passed_drop_test(self, waiting):
        readings = [make.check(), Reading("free alkali", D("0.01"))]
        note_measurement(lot=waiting, readings=readings, **act(3))
        assert status(waiting) == "quarantine"

    def test_a_failed_titration_after_a_pass_is_what_counts(self, waiting):
        note(waiting, what="neutrality", passed=True)
        assert status(waiting) == "released"
        titrated(waiting, "1", number=4)
        hold_lot(lot=waiting, **act(4, reason="failed"))
        with make.refused("failed"):
            release_lot(lot=waiting, **act(5, reason="why not"))


class TestAPast:
    def test_an_open_figure_is_worked_out(self):
        lot = paste()
        for what, value in (("free alkali", "0.5"), ("pH", "12"), ("pH", "10")):
            reading = Reading(what, D(value))
            record_measurement(lot=lot, readings=[reading], **act(3))
        assert list(Measurement.objects.filter(lot=lot).values_list("passed")) == [
            (False,),
            (False,),
            (None,),
        ]

    def test_a_pass_over_such_a_figure_is_not_taken_over(self):
        lot = paste()
        with make.refused("0.5 % free alkali", "above the limit"):
            reading = Reading("free alkali", D("0.005"), passed=True)
            record_measurement(lot=lot, readings=[reading], **act(3))

    def test_before_this_book_is_not_for_paste(self):
        lot = paste()
        with make.refused("counted in pieces"):
            reading = Reading("neutrality", passed=True, method="before")
            record_measurement(lot=lot, readings=[reading], **act(3))


class TestTheCraftDay:
    def test_a_figure_beyond_the_limit_stops_the_filling(self):
        soap = paste(made="1500")
        note(soap, what="neutrality", passed=True)
        release_lot(lot=soap, **act(3))
        day_of = {
            "dilution": NewBatch(
                stage="dilution",
                uses=[Use(lot=soap, amount=D(500))],
                output=made("thin"),
            ),
            "finishing": NewBatch(
                stage="finishing",
                output=made("done"),
                readings=(Reading("free alkali", D("0.004")),),
            ),
        }
        filling = NewBatch(stage="filling", output=made("bottles", "piece"))
        with make.refused("did not pass its check"):
            craft_day(**day_of, fillings=[filling], **act(4))
        craft_day(**day_of, **act(4))
        row = Measurement.objects.get(what="free alkali")
        assert (row.passed, row.method, row.sampled) == (False, "titration", "after")
        assert row.on == day(4)


def made(name, unit="g"):
    item = make.item(name, kind="made", unit=unit)
    return Output(amount=D(500), item=item)


class TestTheTongue:
    def test_no_instruction_goes_by_it(self):
        make.version()
        with make.refused("never tested by tongue", "the steps of the recipe"):
            make.version(steps="Cook.\nTaste it.")
        with make.refused("never tested by tongue", "the check of neutrality"):
            make.version(checks=[NewCheck("neutrality", how="Zungentest")])
        make.version(steps="Cook. Never taste it.")

    def test_no_rule_of_the_house_goes_by_it(self):
        rule = {"topic": "check", "figure": "superfat", "low": None, "high": None}
        with make.refused("never tested by tongue", "the rule"):
            write_rule(says="goûter d'abord", source="ours", **rule, **act())

    def test_an_accident_is_a_step_in_its_own_words(self):
        lot = paste()
        step = note_step(
            batch=lot.batch, text="some splashed on my tongue, rinsed", **act(3)
        )
        assert step.text == "some splashed on my tongue, rinsed"
        with make.refused("accident or a deviation"):
            note_step(batch=lot.batch, text="tongue test passed", **act(3))

    def test_no_verdict_goes_by_it_not_even_by_mistake(self):
        lot = paste()
        with make.refused("never tested by tongue"):
            note(lot, what="neutrality", passed=True, note="tasted by mistake, neutral")
        note(lot, what="neutrality", passed=True, note="no tongue test done")
