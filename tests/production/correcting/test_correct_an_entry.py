"""An amount that was misread is put right: the entry stays, and another tells more."""

from decimal import Decimal

import pytest

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.buying.actions.purchases import open_stock
from production.correcting.actions.entries import correct_movement
from production.models import Movement
from production.stock.actions.opening_lots import NewLot
from production.workshop.actions.cards import ensure_place
from production.yields.reads import batch_balance
from tests import make
from tests.make import DAY, act, day
from tests.production.correcting.entries_of_a_lot import (
    TEN,
    correct,
    counted,
    deed,
    entry,
    moved,
    returned,
    reweighed,
    sold,
    take_back,
    undo,
    used,
)

pytestmark = pytest.mark.django_db


class TestCorrect:
    def test_it_is_reverse_and_enter_anew_in_one_deed(self):
        lot = make.lot()
        soap = make.batch(uses=[(lot, "300")])
        mended = correct(entry(lot, "used"), "310")
        rows = Movement.objects.filter(deed=mended).order_by("id")
        assert [(row.kind, row.amount, row.on) for row in rows] == [
            ("reversed", 300, DAY),
            ("used", -310, DAY),
        ]
        assert make.on_hand(lot) == 690
        assert batch_balance(soap.batch).used == 310

    def test_it_is_judged_on_the_net(self):
        lot = make.lot()
        make.batch(uses=[(lot, "900")], on=day(6))
        correct(entry(lot, "received"), "900")
        assert make.on_hand(lot) == 0

    def test_it_refuses_a_net_that_falls_short_and_names_what_came_after(self):
        lot = make.lot("OIL-7")
        make.batch(uses=[(lot, "900")], on=day(6))
        one = entry(lot, "received")
        with make.refused("OIL-7 would be 1 g short", "used 900", "came after"):
            correct(one, "899")

    def test_it_keeps_its_place_in_the_order_of_its_day(self):
        lot = make.lot()
        used(lot)
        correct(entry(lot, "received"), "1200")
        correct(entry(lot, "received"), "1300")
        order = Movement.objects.standing().filter(lot=lot).in_book_order()
        assert [(row.kind, row.amount) for row in order] == [
            ("received", 1300),
            ("used", -10),
        ]

    def test_it_keeps_place_batch_and_value(self):
        crate = ensure_place("crate")
        lot = open_stock(
            item=make.item(),
            lot=NewLot(TEN),
            value=Decimal(4),
            place=crate,
            **act(),
        )
        correct(entry(lot, "opening"), "12")
        row = entry(lot, "opening")
        assert (row.amount, row.place, row.value) == (12, crate, 4)

    def test_it_may_be_corrected_again(self):
        lot = make.lot()
        make.batch(uses=[(lot, "300")], amount="290")
        correct(entry(lot, "used"), "310")
        correct(entry(lot, "used"), "290")
        assert make.on_hand(lot) == 710

    def test_the_first_entry_is_not_corrected_twice(self):
        lot = make.lot()
        make.batch(uses=[(lot, "300")])
        first = entry(lot, "used")
        correct(first, "310")
        with make.refused("was already taken back"):
            correct(first, "290")

    def test_it_may_move_an_entry_to_its_right_day(self):
        lot = make.lot(on=day(9))
        correct(entry(lot, "received"), "1000", moved_to=day(4))
        assert entry(lot, "received").on == day(4)
        correct(entry(lot, "received"), "1000", moved_to=day(6))
        assert entry(lot, "received").on == day(6)

    def test_an_arrival_does_not_move_behind_its_use(self):
        lot = make.lot()
        make.batch(uses=[(lot, "900")], on=day(6))
        one = entry(lot, "received")
        with make.refused("used 900", "came after"):
            correct(one, "1000", moved_to=day(7))

    def test_a_batch_uses_nothing_after_it_was_done(self):
        lot = make.lot()
        soap = make.batch(uses=[(lot, "300")], on=day(6))
        one, done = entry(lot, "used"), entry(soap, "made")
        with make.refused("after it was done", "Correct both dates"):
            correct(one, "300", moved_to=day(7))
        with make.refused("after it was done"):
            correct(done, "300", moved_to=day(5))

    @pytest.mark.parametrize("act_of", [moved, counted, reweighed, returned, sold])
    def test_deeds_with_papers_or_two_halves_are_done_again_instead(self, act_of):
        wrote = act_of(make.lot())
        one = Movement.objects.filter(deed=wrote).first()
        with make.refused("Take", "again"):
            correct(one, "5")

    @pytest.mark.parametrize("amount", ["0", "-300"])
    def test_it_refuses_an_amount_that_is_not_above_zero(self, amount):
        lot = make.lot()
        make.batch(uses=[(lot, "300")])
        one = entry(lot, "used")
        with make.refused("above zero", "take the entry back"):
            correct(one, amount)

    def test_it_needs_a_reason(self):
        one = entry(make.lot(), "received")
        with make.refused("Write the reason for the correction"):
            correct(one, "5", reason=" ")

    def test_the_same_key_corrects_once(self):
        make.sent_twice(
            correct_movement,
            movement=entry(make.lot(), "received"),
            amount=TEN,
            **act(reason="misread"),
        )


class TestTapWater:
    """Nobody keeps it: what was drawn follows what was used, up, down and back."""

    def use(self):
        tap = make.item(
            "tap water", category="water", on_tap=True, tap_price=Decimal("2.00")
        )
        batch = start_batch(stage="cook", **act())
        use_lots(batch=batch, uses=[Use(Decimal(500), item=tap)], **act())
        return tap.lots.get()

    @pytest.mark.parametrize(("grams", "value"), [("250", "0.5"), ("750", "1.5")])
    def test_a_use_that_is_corrected(self, grams, value):
        lot = self.use()
        correct(entry(lot, "used"), grams)
        assert make.on_hand(lot) == 0
        drawn = entry(lot, "received")
        assert (drawn.amount, drawn.value) == (Decimal(grams), Decimal(value))
        undo(deed("correct an entry"), on=9, reason="it was right")
        assert make.on_hand(lot) == 0
        assert entry(lot, "received").amount == 500

    def test_a_use_that_is_taken_back(self):
        lot = self.use()
        take_back(entry(lot, "used"))
        assert make.on_hand(lot) == 0
        assert not Movement.objects.standing().filter(lot=lot).exists()
