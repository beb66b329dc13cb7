"""What stays back besides caustic soap: what is held, from outside, or expired."""

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
from production.counting.actions import count_lot
from production.exchange.reads import history_events
from production.lots.actions.lot_deeds import discard, give, move_lot
from production.models import Lot
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot, release_lot
from production.selling.actions import sales as deeds
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine
from production.stock.actions.opening_lots import NewLot, Reading
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import act, day
from tests.production.fitness.kettle_to_bottle import (
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
