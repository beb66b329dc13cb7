"""Every route by which caustic soap was once sold, walked as a maker would walk it."""

from decimal import Decimal as D

import pytest

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.correcting.actions.entries import correct_movement
from production.fitness.domain.reasons import Purpose
from production.fitness.reads import fitness
from production.quantities.domain.refusal import Refused
from production.release.actions.readings import note_measurement
from production.selling.actions import sales as deeds
from production.selling.actions.sales import NewSaleLine
from production.stock.actions.opening_lots import Reading
from production.stock.reads.stock import status_on
from tests import make
from tests.make import act, day
from tests.production.fitness.kettle_to_bottle import (
    ALKALI,
    OIL,
    bottled,
    cook,
    dilute,
    fill,
    note,
    release,
    run,
    sell,
    set_out,
)

pytestmark = pytest.mark.django_db


shelf = pytest.fixture(set_out)


def test_an_honest_day_asks_nothing_after_the_pass(shelf):
    _, bottle = bottled(shelf)
    assert sell(bottle).lines.count() == 1


class TestAFailedCheck:
    def test_of_a_released_paste_stops_its_dilution(self, shelf):
        paste = cook(shelf)
        note(paste)
        release(paste)
        note(paste, passed=False, on=3)
        with make.refused("failed on 2026-03-03", "rework"):
            dilute(shelf, paste)

    def test_stops_the_bottles_that_were_filled_before_it(self, shelf):
        paste, bottle = bottled(shelf)
        note(paste, passed=False, on=5)
        with make.refused("failed on 2026-03-05", f"test {bottle} itself"):
            sell(bottle, 6)

    def test_stops_a_dilution_on_the_way_from_being_released(self, shelf):
        paste = cook(shelf)
        note(paste)
        release(paste)
        batch = start_batch(stage="dilution", **act(3))
        pour = [Use(lot=paste, amount=D(500))]
        use_lots(batch=batch, uses=pour, **act(3))
        note(paste, passed=False, on=4)
        thin = make.item("diluted soap", kind="made")
        soap = make_lot(batch=batch, output=Output(D(500), thin), **act(4))
        assert status_on(soap, day(9)) == "quarantine"
        with make.refused("failed"):
            release(soap, 4)

    def test_of_the_paste_leaves_bottles_that_pass_a_later_one(self, shelf):
        paste, bottle = bottled(shelf)
        note(paste, passed=False, on=5)
        note(bottle, on=6)
        assert sell(bottle, 6).lines.count() == 1

    def test_is_not_outdone_by_an_earlier_pass_of_the_bottles(self, shelf):
        paste, bottle = bottled(shelf)
        note(bottle, on=4)
        note(paste, passed=False, on=5)
        with make.refused("failed"):
            sell(bottle, 6)

    def test_is_cleared_by_a_new_pass_of_that_lot(self, shelf):
        paste, bottle = bottled(shelf)
        note(paste, passed=False, on=5)
        note(paste, on=6)
        assert sell(bottle, 6).lines.count() == 1

    def test_is_not_lifted_by_an_owner_with_a_reason(self, shelf):
        _, bottle = bottled(shelf)
        note(bottle, passed=False, on=5)
        with make.refused("failed"):
            sell(bottle, 6, override=True)

    def test_does_not_stop_the_paste_from_being_cooked_on(self, shelf):
        paste = cook(shelf)
        note(paste, passed=False)
        uses = [(paste, "1100"), (shelf["oil"], "50")]
        again = run("cook", "paste", "1150", uses, on=3)
        assert status_on(again, day(3)) == "quarantine"
        note(again, on=3)
        assert release(again, 3).status == "released"


class TestAlkaliByAnotherDoor:
    @pytest.mark.parametrize("stage", ["dilution", "finishing", "preparation"])
    def test_potash_in_the_soap_waits_for_a_check_whatever_the_stage(
        self, shelf, stage
    ):
        paste = cook(shelf)
        note(paste)
        release(paste)
        uses = [(paste, "500"), (shelf["koh"], "20"), (shelf["water"], "500")]
        soap = run(stage, "soap", "1020", uses, on=3, reason="it happened")
        assert status_on(soap, day(3)) == "quarantine"
        with make.refused("No neutrality check"):
            release(soap, 3)
        with make.refused("No neutrality check"):
            fill(shelf, soap)

    def test_flakes_in_finished_soap_are_not_sold_in_one_tick(self, shelf):
        paste = cook(shelf)
        note(paste)
        release(paste)
        soap = dilute(shelf, paste)
        tobias = make.maker()
        uses = [(soap, "1000"), (shelf["koh"], "5"), (shelf["bottles"], "4")]
        with make.refused("alkali as such", "does not go into what is filled"):
            run("filling", "hand wash", "4", uses, by=tobias, on=4, unit="piece")

    def test_nor_when_the_pot_is_called_a_cook(self, shelf):
        uses = [(shelf["oil"], OIL), (shelf["koh"], ALKALI), (shelf["water"], "400")]
        with make.refused("does not go into what is filled"):
            run("cook", "hand wash", "4", uses, unit="piece", net="300")

    def test_a_pot_without_its_potash_in_the_book_is_a_pot_all_the_same(self, shelf):
        uses = [(shelf["oil"], OIL), (shelf["water"], "400")]
        paste = run("cook", "paste", "1100", uses)
        with make.refused("No neutrality check"):
            release(paste)

    def test_lye_is_a_chemical_and_leaves_by_an_owners_act_alone(self, shelf):
        uses = [(shelf["koh"], "500"), (shelf["water"], "500")]
        lye = run("preparation", "lye", "1000", uses)
        assert fitness(lye, Purpose.USE, day(3)).fit
        with make.refused("chemical"):
            sell(lye, by=make.maker(), override=True)
        with make.refused("chemical"):
            sell(lye)
        line = NewSaleLine(lye, D(100), D("3.00"))
        sale = deeds.sell(
            lines=[line],
            channel="the soap school",
            override=True,
            **act(5, reason="sold to a school, with its safety data sheet"),
        )
        assert sale.lines.count() == 1

    def test_glycerin_and_sugar_make_a_lye_no_soap(self, shelf):
        sugar = make.lot("SUG", item=make.item("sugar", category="additive"))
        uses = [(shelf["koh"], "500"), (shelf["water"], "400"), (sugar, "100")]
        lye = run("preparation", "lye", "1000", uses)
        with make.refused("chemical"):
            sell(lye)


class TestWhatWasTypedLater:
    def test_a_check_of_an_empty_kettle_clears_nothing(self, shelf):
        batch = start_batch(stage="cook", **act(2))
        note_measurement(batch=batch, readings=[make.check()], **act(2))
        pot = [
            Use(lot=shelf["oil"], amount=D(OIL)),
            Use(lot=shelf["koh"], amount=D(ALKALI)),
            Use(lot=shelf["water"], amount=D(400)),
        ]
        use_lots(batch=batch, uses=pot, **act(2))
        output = Output(D(1100), make.item("paste", kind="made"))
        paste = make_lot(batch=batch, output=output, **act(2))
        with make.refused("is older than"):
            release(paste)

    def test_potash_corrected_upward_voids_the_pass_and_what_was_made(self, shelf):
        paste, bottle = bottled(shelf)
        entry = paste.batch.movements.get(lot=shelf["koh"], kind="used")
        correct_movement(movement=entry, amount=D(207), **act(5, reason="misread"))
        with make.refused("superfat", "Test it again"):
            sell(bottle, 6)

    def test_a_correction_within_the_band_leaves_the_pass_standing(self, shelf):
        paste, bottle = bottled(shelf)
        entry = paste.batch.movements.get(lot=shelf["koh"], kind="used")
        correct_movement(movement=entry, amount=D("140.3"), **act(5, reason="misread"))
        assert sell(bottle, 6).lines.count() == 1

    def test_oil_taken_out_counts_as_alkali_added(self, shelf):
        paste, bottle = bottled(shelf)
        entry = paste.batch.movements.get(lot=shelf["oil"], kind="used")
        correct_movement(movement=entry, amount=D(600), **act(5, reason="misread"))
        with make.refused("superfat"):
            sell(bottle, 6)

    def test_a_purity_restated_upward_voids_the_pass(self, shelf):
        _, bottle = bottled(shelf)
        better = Reading("purity", D("0.99"), confirmed=True)
        note_measurement(lot=shelf["koh"], readings=[better], **act(2))
        with make.refused("superfat"):
            sell(bottle, 6)

    def test_fragrance_and_water_added_later_leave_it_standing(self, shelf):
        paste = cook(shelf)
        note(paste)
        release(paste)
        soap = dilute(shelf, paste)
        scent = make.lot("FRA", item=make.item("lime", category="fragrance"))
        uses = [(soap, "1000"), (scent, "5"), (shelf["water"], "20")]
        finished = run("finishing", "finished soap", "1025", uses, on=4)
        release(finished, 4)
        assert not fitness(finished, Purpose.FILL, day(4)).reasons


class TestMoreAlkaliThanFat:
    def test_the_truth_is_written_with_a_reason_and_waits(self, shelf):
        with pytest.raises(Refused, match="reason"):
            cook(shelf, alkali="290")
        paste = cook(shelf, alkali="290", reason="the scale stood on ounces")
        assert status_on(paste, day(2)) == "quarantine"
        with make.refused("No neutrality check"):
            release(paste)
        assert "No neutrality check" in (
            fitness(paste, Purpose.SALE, day(2)).reasons[0].says
        )

    def test_half_of_it_free_is_no_pass(self, shelf):
        paste = cook(shelf)
        for reading in (
            Reading("free alkali", D("0.5"), passed=True, method="titration"),
            Reading("free alkali", D("0.02"), passed=True, method="titration"),
        ):
            with pytest.raises(Refused, match="%"):
                note_measurement(lot=paste, readings=[reading], **act())
        with make.refused("No neutrality check"):
            release(paste)
