"""What is in stock is kept, and it is always what the entries add up to.

A maker asks "how much is left?" many times a day. The answer must not get slower with
the years, and must not differ from the book, whatever was typed late, taken back,
corrected or refused meanwhile.
"""

from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from random import Random
from unittest.mock import patch

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, connections, transaction
from hypothesis import HealthCheck, given, settings

from config.audit import audit
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.counting.actions import count_lot
from production.lots.actions.lot_deeds import discard, move_lot
from production.models import Lot, Movement, Stock
from production.quantities.domain.refusal import Refused
from production.selling.actions import sales as deeds
from production.selling.actions.sales import NewSaleLine
from production.stock.actions import posting
from production.stock.actions.posting import _judge_course
from production.stock.actions.stock_rows import remake_stock
from production.stock.domain.ledger import first_shortfall
from production.stock.reads.stock import entered, ledger_entries, on_hand_by_place
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import act, day
from tests.production.exchange.test_workshop_laws import in_an_empty_book
from tests.production.random_workshop import RandomWorkshop, steps

pytestmark = pytest.mark.django_db


def kept():
    rows = Stock.objects.values_list("lot_id", "place_id", "amount")
    return {(lot, place): amount for lot, place, amount in rows}


def kept_is_what_was_entered():
    """And what is kept let nothing through that the whole course would refuse."""
    assert kept() == entered()
    lots = list(Lot.objects.order_by("pk"))
    assert first_shortfall(ledger_entries(lots)) is None
    _judge_course(lots)


def sell(lot, amount, on):
    return make.sale(lot, amount, on=day(on))


def reads_the_course(do):
    """Whether a deed read all entries of a lot, and not only what is kept."""
    with patch.object(posting, "ledger_entries", wraps=ledger_entries) as read:
        do()
    return read.called


@settings(
    max_examples=4,
    suppress_health_check=[
        HealthCheck.function_scoped_fixture,
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
    ],
)
@given(past=steps())
def test_in_a_random_workshop_it_is_the_sum_of_the_entries_after_every_step(past):
    def play():
        workshop = RandomWorkshop()
        for step in past:
            workshop.play([step])
            kept_is_what_was_entered()

    in_an_empty_book(play)


class TestJudging:
    def test_what_comes_last_is_judged_by_what_is_kept(self):
        lot = make.lot()
        sell(lot, "10", 5)
        assert not reads_the_course(lambda: sell(lot, "10", 5))
        assert not reads_the_course(lambda: sell(lot, "10", 6))
        kept_is_what_was_entered()

    def test_what_is_dated_back_reads_the_course_of_its_lot_again(self):
        lot = make.lot()
        sell(lot, "900", 10)
        assert reads_the_course(lambda: sell(lot, "10", 9))
        with make.refused("short at workshop on 2026-03-10", "came after"):
            sell(lot, "95", 9)
        kept_is_what_was_entered()

    def test_what_comes_last_may_not_take_more_than_there_is(self):
        lot = make.lot("OIL")
        sell(lot, "990", 5)
        with make.refused("Only 10 g of OIL are on hand at workshop on 2026-03-06"):
            sell(lot, "11", 6)
        kept_is_what_was_entered()

    def test_nor_from_a_place_where_it_does_not_stand(self):
        lot, crate = make.bottles("B"), ensure_place("crate")
        move_lot(lot=lot, amount=Decimal(20), to=crate, **act(3))
        with make.refused("Only 20 pieces of B are on hand at crate"):
            lines = [NewSaleLine(lot, Decimal(21), place=crate)]
            deeds.sell(lines=lines, channel="stall", **act(4))
        assert on_hand_by_place(lot) == [("crate", 20), ("workshop", 30)]

    def test_a_lot_whose_arrival_was_taken_back_has_not_begun(self):
        """Nothing is left of it, and a count finds no goods that never came."""
        lot = make.lot("OIL")
        reverse_movement(movement=lot.movements.get(), **act(5, reason="sent back"))
        with make.refused("OIL would be counted", "before it came into the book"):
            count_lot(lot=lot, found=Decimal(5), **act(6, reason="a rest"))

    def test_an_arrival_taken_back_is_refused_while_something_was_used(self):
        lot = make.lot("OIL")
        sell(lot, "10", 5)
        arrival = lot.movements.get(kind="received")
        with make.refused("OIL would be"):
            reverse_movement(movement=arrival, **act(6, reason="sent back"))
        kept_is_what_was_entered()

    def test_a_correction_keeps_its_place_and_what_is_kept_follows(self):
        lot = make.lot()
        spilt = act(5, reason="spill")
        discard(lot=lot, amount=Decimal(100), **spilt)
        entry = lot.movements.get(kind="discarded")
        correct_movement(movement=entry, amount=Decimal(1), **act(6, reason="misread"))
        assert make.on_hand(lot) == 999
        kept_is_what_was_entered()


class TestProof:
    def spoil(self, lot):
        Stock.objects.filter(lot=lot).update(amount=Decimal(7))

    def test_audit_names_what_is_not_the_sum(self, owner):
        lot = make.lot("OIL")
        self.spoil(lot)
        faults = [fault for finding in audit() for fault in finding.faults]
        assert faults[0].startswith(
            "OIL: 7 kept at workshop, its entries come to 1000: look who changed it"
        )
        with pytest.raises(CommandError, match="laws do not hold"):
            call_command("audit")

    def test_audit_names_a_row_that_is_gone(self, owner):
        lot = make.lot("OIL")
        Stock.objects.filter(lot=lot).delete()
        faults = [fault for finding in audit() for fault in finding.faults]
        assert "OIL: nothing kept at workshop, its entries come to 1000" in faults[0]

    def test_one_command_makes_it_anew(self, owner, capsys):
        lot, other = make.lot(), make.lot()
        self.spoil(lot)
        Stock.objects.filter(lot=other).delete()
        call_command("remake_stock")
        assert capsys.readouterr().out == "2 rows made from the entries.\n"
        kept_is_what_was_entered()
        assert make.on_hand(lot) == 1000

    def test_the_database_itself_keeps_nothing_below_zero(self):
        lot = make.lot()
        with pytest.raises(IntegrityError), transaction.atomic():
            Stock.objects.filter(lot=lot).update(amount=Decimal(-1))


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "postgresql", reason="two hands at once")
def test_two_hands_at_once_leave_what_the_entries_add_up_to():
    """Random uses, moves, counts, corrections of the same few lots from two threads."""
    by = make.owner()
    lots = [make.lot(f"L{number}", grams="1000") for number in range(3)]
    crate = ensure_place("crate")
    home = ensure_place("workshop")

    def hand(seed):
        dice = Random(seed)
        try:
            for _ in range(25):
                one_deed(dice, dice.choice(lots), dice.choice((home, crate)))
        finally:
            connections.close_all()

    def one_deed(dice, lot, place):
        when = {"on": day(dice.randint(2, 20)), "by": by, "reason": "so it was"}
        some = Decimal(dice.randint(1, 200))
        to = crate if place == home else home
        entry = Movement.objects.filter(lot=lot).order_by("-pk").first()
        try:
            match dice.randint(0, 4):
                case 0:
                    discard(lot=lot, amount=some, place=place, **when)
                case 1:
                    move_lot(lot=lot, amount=some, place=place, to=to, **when)
                case 2:
                    count_lot(lot=lot, found=some, place=place, **when)
                case 3:
                    reverse_movement(movement=entry, **when)
                case 4:
                    correct_movement(movement=entry, amount=some, **when)
        except Refused:
            pass

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(hand, (1, 2)))
    assert Movement.objects.count() > 20
    kept_is_what_was_entered()
    rows = kept()
    remake_stock()
    assert kept() == rows
