"""Goods that leave without a sale, are thrown away, or stand elsewhere."""

from decimal import Decimal

import pytest

from production.correcting.actions.undoing import undo_deed
from production.lots.actions import lot_deeds as deeds
from production.lots.actions.lot_deeds import discard, move_lot
from production.models import Given
from production.release.actions.statuses import hold_lot
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.reads.stock import on_hand_by_place
from production.tracing.reads.trace import trace
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import DAY, act, day

pytestmark = pytest.mark.django_db
TWO = Decimal(2)
SAYS = {
    "quarantine": "not released. Release it first",
    "held": "is held",
    "rejected": "Rework it into a new lot",
}


def give(lot, why="gift", recipient="", on=2, **facts):
    return deeds.give(
        lot=lot, amount=TWO, why=why, recipient=recipient, **act(on, **facts)
    )


class TestGive:
    @pytest.mark.parametrize("why", Given.Why.values)
    def test_each_reason_is_its_own(self, why):
        lot = make.filled()
        row = give(lot, why, "Ada", 4)
        assert (row.why, row.recipient) == (why, "Ada")
        entry = row.movement
        assert (entry.kind, entry.amount, entry.on) == ("given", -2, day(4))
        assert make.on_hand(lot) == 18

    def test_who_has_it_stands_in_the_trace(self):
        lot = make.filled("HS-1")
        give(lot, "tester", "Ada")
        found = trace(lot).deliveries
        assert [(row.who, row.channel, row.amount) for row in found] == [
            ("Ada", "tester", 2)
        ]

    def test_without_a_recipient_the_reason_and_the_day_stand_there(self):
        lot = make.filled()
        give(lot, "own use", on=5)
        [row] = trace(lot).deliveries
        assert (row.who, row.channel, row.on) == (None, "own use", day(5))

    def test_a_gift_stands_in_the_trace_of_what_went_into_it(self):
        oil = make.lot()
        soap = make.batch(uses=[(oil, "500")], makes="soap")
        give(soap, recipient="Ada")
        assert trace(oil).customers == ["Ada"]

    def test_what_was_taken_back_leaves_the_trace(self):
        lot = make.filled()
        row = give(lot, recipient="Ada")
        undo_deed(undone=row.deed, **act())
        assert trace(lot).deliveries == []
        assert make.on_hand(lot) == 20

    @pytest.mark.parametrize("why", ["gift", "tester", "own use"])
    @pytest.mark.parametrize("status", ["quarantine", "held", "rejected"])
    def test_nobody_gets_a_lot_that_is_not_released(self, why, status):
        lot = make.filled(status=status)
        with make.refused(SAYS[status]):
            give(lot, why, "Ada")

    def test_a_gift_dated_before_the_hold_is_right(self):
        lot = make.filled()
        hold_lot(lot=lot, **act(5, reason="leaks"))
        assert give(lot, on=4).movement.on == day(4)
        with make.refused("is held"):
            give(lot, on=5)

    def test_a_reason_that_is_none_is_refused(self):
        lot = make.filled()
        with make.refused("Why", "bribe"):
            give(lot, "bribe")

    @pytest.mark.parametrize("amount", ["0", "-1"])
    def test_an_amount_that_is_not_above_zero_is_refused(self, amount):
        lot = make.filled()
        with make.refused("above zero"):
            deeds.give(lot=lot, amount=Decimal(amount), why="gift", **act())

    def test_more_than_there_is_is_refused(self):
        lot = make.filled(pieces="1")
        with make.refused("Only 1 pieces", "2 are asked for"):
            give(lot)

    def test_the_same_key_gives_once(self):
        lot = make.filled()
        make.sent_twice(deeds.give, lot=lot, amount=TWO, why="gift", **act())
        assert make.on_hand(lot) == 18


class TestDiscard:
    def test_it_takes_the_goods_out_with_the_reason(self):
        lot = make.lot()
        deed = discard(
            lot=lot, amount=Decimal(40), **act(3, reason="spilt on the floor")
        )
        entry = lot.movements.get(deed=deed)
        assert (entry.kind, entry.amount, entry.on) == ("discarded", -40, day(3))
        assert deed.reason == "spilt on the floor"

    def test_it_needs_a_reason(self):
        lot = make.lot("OIL-7")
        with make.refused("Write the reason for discarding 40 of OIL-7"):
            discard(lot=lot, amount=Decimal(40), **act())

    def test_it_refuses_nothing_and_more_than_there_is(self):
        lot = make.lot()
        for amount, says in (("0", "above zero"), ("1000.001", "Only 1000 g")):
            with make.refused(says):
                discard(lot=lot, amount=Decimal(amount), **act(reason="x"))

    def test_the_same_key_discards_once(self):
        lot = make.lot()
        make.sent_twice(discard, lot=lot, amount=Decimal(40), **act(reason="spill"))
        assert make.on_hand(lot) == 960


class TestPlaces:
    def test_goods_leave_one_place_and_stand_at_another(self):
        lot, crate = make.filled(), ensure_place("crate")
        move_lot(lot=lot, amount=Decimal(8), to=crate, **act())
        assert on_hand_by_place(lot) == [("crate", 8), ("workshop", 12)]
        assert make.on_hand(lot) == 20

    def test_a_place_that_was_emptied_is_not_named(self):
        lot = make.lot(grams="1000")
        shed = ensure_place("shed")
        move_lot(lot=lot, amount=Decimal(1000), to=shed, **act())
        assert on_hand_by_place(lot) == [("shed", 1000)]

    def test_they_are_carried_on_from_there(self):
        lot, crate = make.filled(), ensure_place("crate")
        shop = ensure_place("shop")
        move_lot(lot=lot, amount=Decimal(8), to=crate, **act())
        move_lot(lot=lot, amount=Decimal(5), place=crate, to=shop, **act())
        places = [("crate", 3), ("shop", 5), ("workshop", 12)]
        assert on_hand_by_place(lot) == places

    def test_what_stands_elsewhere_is_not_on_hand_here(self):
        lot, crate = make.filled("HS-1"), ensure_place("crate")
        move_lot(lot=lot, amount=Decimal(15), to=crate, **act())
        with make.refused("Only 5 pieces of HS-1 are on hand at workshop"):
            discard(lot=lot, amount=Decimal(6), **act(reason="dropped"))

    def test_goods_are_not_sold_from_a_place_before_they_came_there(self):
        lot, crate = make.filled(), ensure_place("crate")
        move_lot(lot=lot, amount=Decimal(15), to=crate, **act(6))
        line = NewSaleLine(lot, TWO, place=crate)
        with make.refused("Only 0 pieces", "crate"):
            sell(lines=[line], channel="stall", **act(5))

    def test_a_move_typed_late_may_not_empty_the_place_it_left(self):
        lot, crate = make.filled(), ensure_place("crate")
        discard(lot=lot, amount=Decimal(15), **act(9, reason="leak"))
        with make.refused("would be 3 pieces short at workshop", "discarded 15"):
            move_lot(lot=lot, amount=Decimal(8), to=crate, **act(4))

    def test_goods_stay_where_they_are(self):
        lot, home = make.lot(), ensure_place("workshop")
        with make.refused("stands at workshop already"):
            move_lot(lot=lot, amount=TWO, to=home, **act())

    @pytest.mark.parametrize("amount", ["0", "-4"])
    def test_an_amount_that_is_not_above_zero_is_refused(self, amount):
        lot, crate = make.lot(), ensure_place("crate")
        with make.refused("above zero"):
            move_lot(lot=lot, amount=Decimal(amount), to=crate, **act())

    def test_the_same_key_moves_once(self):
        lot, crate = make.lot(on=DAY), ensure_place("crate")
        make.sent_twice(move_lot, lot=lot, amount=TWO, to=crate, **act())
        assert on_hand_by_place(lot) == [("crate", 2), ("workshop", 998)]
