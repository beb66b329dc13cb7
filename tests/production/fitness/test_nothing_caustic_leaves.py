"""Every route by which caustic soap was once sold, walked as a maker would walk it.

Amounts are invented. 700 g of rapeseed oil at its published 187 mg KOH per g asks for
130.9 g of pure KOH, 145.4 g of flakes at 90 %.
"""

from decimal import Decimal as D

import pytest

from production.batches.actions.batches import (
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.new_batch import Output, Use
from production.batches.actions.trials import note_look, promote_trial
from production.buying.actions.purchases import open_stock
from production.correcting.actions.entries import correct_movement
from production.counting.actions import count_lot
from production.exchange.reads import history_events
from production.fitness.domain.reasons import Purpose
from production.fitness.reads import fitness
from production.lots.actions.lot_deeds import discard, give, move_lot
from production.models import Lot, ReferenceOil
from production.quantities.domain.refusal import Refused
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot, release_lot
from production.selling.actions import sales as deeds
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine
from production.stock.actions.opening_lots import NewLot, Reading
from production.stock.reads.stock import status_on
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import act, day
from tests.once import remembered

pytestmark = pytest.mark.django_db
ALKALI, OIL = "140", "700"


@pytest.fixture
@remembered
def shelf():
    """Oil with its published value, flakes, water, salt, bottles."""
    oil = make.item("rapeseed oil", category="oil")
    oil.oil = ReferenceOil.objects.get(key="rapeseed-oil-low-erucic")
    oil.save(update_fields=["oil"])
    for name in ("paste", "soap", "lye", "brine", "diluted soap", "finished soap"):
        make.item(name, kind="made")
    make.item("hand wash", kind="made", unit="piece")
    return {
        "oil": make.lot("OIL", grams="9000", item=oil),
        "koh": make.koh(code="KOH", grams="3000"),
        "water": make.lot(
            "WATER", grams="50000", item=make.item("water", category="water")
        ),
        "bottles": make.bottles("BOT", pieces="500"),
    }


def run(stage, makes, amount, uses, *, by=None, on=2, unit="g", net=None, **facts):
    """A batch as a page posts it; what is asked for as its status does not count."""
    made = make.item(makes, kind="made", unit=unit)
    return run_batch(
        stage=stage,
        uses=[Use(lot=lot, amount=D(grams)) for lot, grams in uses],
        output=Output(D(amount), made, net_mass=net and D(net)),
        **act(on, by=by, **{"reason": "", **facts}),
    )


def cook(shelf, alkali=ALKALI, **facts):
    uses = [(shelf["oil"], OIL), (shelf["koh"], alkali), (shelf["water"], "400")]
    return run("cook", "paste", "1100", uses, **facts)


def note(lot, passed=True, on=2, **facts):
    note_measurement(lot=lot, readings=[make.check(passed)], **act(on, **facts))


def release(lot, on=2, **facts):
    return release_lot(lot=lot, **act(on, **facts))


def dilute(shelf, paste, on=3, **facts):
    uses = [(paste, "500"), (shelf["water"], "1000")]
    return run("dilution", "diluted soap", "1500", uses, on=on, **facts)


def fill(shelf, soap, on=4, **facts):
    uses = [(soap, "1000"), (shelf["bottles"], "4")]
    return run(
        "filling", "hand wash", "4", uses, on=on, unit="piece", net="250", **facts
    )


def sell(lot, on=5, by=None, **facts):
    line = NewSaleLine(lot, D(1), D("9.00"))
    return deeds.sell(lines=[line], channel="stall", **act(on, by=by), **facts)


def bottled(shelf):
    """An honest way from the kettle to a bottle that is for sale."""
    paste = cook(shelf)
    note(paste)
    release(paste)
    bottle = fill(shelf, dilute(shelf, paste))
    release(bottle, 4)
    return paste, bottle


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


class TestGoodsFromOutside:
    def test_an_untested_opening_lot_is_not_sold(self):
        wash = make.item("hand wash", kind="made", unit="piece")
        lot = open_stock(item=wash, lot=NewLot(D(20)), **act())
        with make.refused("No neutrality check"):
            sell(lot)

    def test_nor_is_bought_paste_used(self, shelf):
        paste = make.lot("PB", item=make.item("soap paste", category="soap"))
        with make.refused("No neutrality check"):
            dilute(shelf, paste)

    def test_a_suppliers_figure_with_its_paper_is_its_check(self, shelf):
        paste = make.lot("PB", item=make.item("soap paste", category="soap"))
        figure = Reading(
            "free alkali",
            D("0.0004"),
            basis="stated",
            method="supplier",
            where="certificate 88 of 2026-02-01",
        )
        note_measurement(lot=paste, readings=[figure], **act())
        assert dilute(shelf, paste).code

    def test_a_material_that_nobody_named_is_not_used(self, shelf):
        powder = make.item("white powder", category="")
        lot = make.lot("POW", item=powder)
        with make.refused("white powder", "State its role"):
            run("preparation", "brine", "100", [(lot, "50"), (shelf["water"], "50")])


class TestHolds:
    def test_a_held_lot_is_not_made_saleable_by_reworking_it(self, shelf):
        _paste, bottle = bottled(shelf)
        hold_lot(lot=bottle, **act(5, reason="glass found in one"))
        again = run("rework", "hand wash", "2", [(bottle, "2")], on=5, unit="piece")
        with make.refused("made from", "glass found in one"):
            sell(again, 6)
        with make.refused("Only an owner"):
            release(again, 6, by=make.maker())

    def test_a_pass_does_not_lift_a_complaints_hold(self, shelf):
        _paste, bottle = bottled(shelf)
        hold_lot(lot=bottle, **act(5, reason="a rash"))
        note(bottle, on=5)
        with make.refused("is held: a rash"):
            sell(bottle, 6)

    def test_it_is_held_while_any_cause_stands(self, shelf):
        _, bottle = bottled(shelf)
        hold_lot(lot=bottle, **act(5, reason="a rash"))
        hold_lot(lot=bottle, **act(5, reason="a leak"))
        first = bottle.holds.first()
        release_lot(lot=bottle, lifts=[first], **act(6, reason="it was the plant"))
        with make.refused("is held: a leak"):
            sell(bottle, 6)
        release(bottle, 6, reason="new caps")
        assert sell(bottle, 6).lines.count() == 1

    def test_it_reaches_what_was_made_and_frees_it_again(self, shelf):
        paste, bottle = bottled(shelf)
        hold_lot(lot=paste, **act(5, reason="wrong oil"))
        with make.refused("is held"):
            sell(bottle, 6)
        soap = Lot.objects.get(item__name="diluted soap")
        release_lot(
            lot=paste, also=[soap, bottle], **act(6, reason="the oil was right")
        )
        assert sell(bottle, 6).lines.count() == 1

    def test_leaving_one_out_needs_its_reason(self, shelf):
        paste, _bottle = bottled(shelf)
        with make.refused("say why it is not held too"):
            hold_lot(lot=paste, also=[], **act(5, reason="wrong oil"))

    def test_what_stands_open_is_born_held(self, shelf):
        paste = cook(shelf)
        note(paste)
        release(paste)
        batch = start_batch(stage="dilution", **act(3))
        pour = [Use(lot=paste, amount=D(500))]
        use_lots(batch=batch, uses=pour, **act(3))
        hold_lot(lot=paste, **act(4, reason="wrong oil"))
        thin = make.item("diluted soap", kind="made")
        soap = make_lot(batch=batch, output=Output(D(500), thin), **act(5))
        with make.refused("is held", "wrong oil"):
            fill(shelf, soap, 5)


class TestWhatIsNeverAsked:
    @pytest.mark.parametrize("why", ["sample", "laboratory", "retained"])
    def test_samples_and_retained_pieces_are_taken_from_any_state(self, shelf, why):
        paste = cook(shelf)
        note(paste, passed=False)
        give(lot=paste, amount=D(5), why=why, **act(3))
        assert make.on_hand(paste) == 1095

    def test_a_sample_for_a_person_is_asked_about(self, shelf):
        paste = cook(shelf)
        with make.refused("No neutrality check"):
            give(lot=paste, amount=D(5), why="sample", recipient="Ada", **act(3))

    def test_discarding_and_counting(self, shelf):
        paste = cook(shelf)
        discard(lot=paste, amount=D(100), **act(3, reason="spilt"))
        count_lot(lot=paste, found=D(990), **act(3, reason="a rest"))
        assert make.on_hand(paste) == 990


def test_a_customers_shop_is_out_of_hand(shelf):
    """Not a door of its own: goods there are with a customer."""
    _paste, bottle = bottled(shelf)
    tin = ensure_customer("The Tin Lantern")
    shop = ensure_place("The Tin Lantern's shelf")
    shop.customer = tin
    shop.save(update_fields=["customer"])
    note(bottle, passed=False, on=5)
    with make.refused("failed"):
        move_lot(lot=bottle, amount=D(1), to=shop, **act(6))


def test_an_expired_bottle_is_sold_by_an_owner_with_a_reason_alone(shelf):
    paste = cook(shelf)
    note(paste)
    release(paste)
    soap = dilute(shelf, paste)
    wash = make.item("hand wash", kind="made", unit="piece")
    bottle = run_batch(
        stage="filling",
        uses=[Use(lot=soap, amount=D(1000))],
        output=Output(D(4), wash, net_mass=D(250), expires=day(10)),
        **act(4),
    )
    release(bottle, 4)
    with make.refused("expired on 2026-03-10"):
        sell(bottle, 12)
    with make.refused("expired"):
        sell(bottle, 12, override=True)
    line = NewSaleLine(bottle, D(1), D("4.00"))
    why = act(12, reason="marked down, smells fine, told the buyer")
    deeds.sell(lines=[line], channel="stall", override=True, **why)


def test_a_hold_of_an_open_batch_moves_house_with_it(shelf):
    paste = cook(shelf)
    note(paste)
    release(paste)
    batch = start_batch(stage="dilution", **act(3))
    pour = [Use(lot=paste, amount=D(500))]
    use_lots(batch=batch, uses=pour, **act(3))
    hold_lot(lot=paste, **act(4, reason="wrong oil"))
    told = [event for event in history_events() if event["type"] == "hold"]
    [hold] = told
    assert (hold["batch"], hold["date"]) == (batch.code, "2026-03-04")
    assert "wrong oil" in hold["reason"]


def test_a_trial_that_nobody_tested_is_not_accepted(shelf):
    trial = cook(shelf, trial=True)
    look = {"batch": trial.batch, "look": "day", "text": "thick, no oil on top"}
    note_look(**look, **act(3))
    ph = Reading("pH", D("9.8"))
    note_measurement(lot=trial, readings=[ph], **act(3))
    with make.refused("No neutrality check"):
        promote_trial(batch=trial.batch, **act(4, reason="good"))
    note(trial, on=4)
    promote_trial(batch=trial.batch, **act(4, reason="good"))
