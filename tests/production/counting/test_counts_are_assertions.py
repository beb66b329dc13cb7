"""A count says what was there. It is not only a correction of a number.

A maker counts a tub on 3 May and finds 430 g. Whatever is typed later, 430 g stood
there on that day. When somebody writes down on the 6th a use of the 1st that was
forgotten, the book says 380 g for the 3rd, and one of the two is wrong: the book must
say so until she has counted again, or the entry is mended.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.correcting.actions.entries import correct_movement, reverse_movement
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.lots.actions.lot_deeds import move_lot, reweigh_lot
from production.models import Count, Deed, Lot, Movement
from production.record.domain.text import write
from production.selling.actions.sales import NewSaleLine, sell
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import act, day
from tests.production.counting.counted import count, page, said, spill, undo

pytestmark = pytest.mark.django_db


class TestWhatWasFound:
    def test_it_is_kept_beside_what_the_book_said_then(self):
        lot = make.lot(grams="450")
        count(lot, "430")
        row = lot.counts.get()
        assert (row.found, row.booked, row.on) == (430, 450, day(3))
        assert row.entry.amount == -20
        assert said() == []

    def test_so_is_a_weight(self):
        lot = make.lot(grams="450")
        reweigh_lot(lot=lot, found=Decimal(430), **act(3))
        row = lot.counts.get()
        assert (row.found, row.booked, row.reweighed) == (430, 450, True)

    def test_it_is_kept_of_its_own_place(self):
        lot, crate = make.bottles("B"), ensure_place("crate")
        move_lot(lot=lot, amount=Decimal(20), to=crate, **act(2))
        count(lot, "18", place=crate)
        assert lot.counts.get().booked == 20
        sell(lines=[NewSaleLine(lot, Decimal(30))], channel="stall", **act(2))
        assert said() == []


class TestTheBookDisagrees:
    @pytest.fixture
    def lot(self):
        lot = make.lot("OIL", grams="450")
        count(lot, "430")
        return lot

    def test_once_something_is_written_of_a_day_before_it(self, lot):
        spill(lot, "50", 2)
        assert said() == [(430, 380)]

    def test_not_for_what_happened_after_it(self, lot):
        spill(lot, "50", 3)
        spill(lot, "50", 4)
        assert said() == []

    def test_nor_for_what_is_not_of_its_place(self, lot):
        move_lot(lot=lot, amount=Decimal(9), to=make_crate(), **act(4))
        assert said() == []

    def test_a_count_that_agreed_is_held_against_it_too(self):
        lot = make.lot(grams="450")
        count(lot, "450")
        spill(lot, "50", 2)
        assert said() == [(450, 400)]

    def test_and_a_weight(self):
        lot = make.lot(grams="450")
        reweigh_lot(lot=lot, found=Decimal(430), **act(3))
        spill(lot, "50", 2)
        assert said() == [(430, 380)]

    def test_an_entry_before_it_that_is_taken_back_disagrees(self):
        lot = make.lot(grams="450")
        lost = spill(lot, "20", 2)
        count(lot, "430")
        undo(lost)
        assert said() == [(430, 450)]

    def test_an_entry_before_it_that_is_corrected_disagrees(self):
        lot = make.lot(grams="450")
        spill(lot, "20", 3)
        count(lot, "430")
        entry = lot.movements.get(kind="discarded")
        mend = act(5, reason="misread")
        correct_movement(movement=entry, amount=Decimal(70), **mend)
        assert said() == [(430, 380)]

    def test_it_ends_when_it_is_counted_again_later(self, lot):
        spill(lot, "50", 2)
        count(lot, "380", 5)
        assert said() == []

    def test_also_later_on_the_same_day(self, lot):
        spill(lot, "50", 2)
        count(lot, "380", 3)
        assert said() == []

    def test_it_ends_when_the_entry_is_taken_back(self, lot):
        undo(spill(lot, "50", 2))
        assert said() == []

    def test_it_ends_when_the_miscount_is_taken_back(self, lot):
        spill(lot, "50", 2)
        undo(Deed.objects.get(verb="count a lot"))
        assert said() == []
        assert make.on_hand(lot) == 400

    def test_also_by_its_entry_alone(self, lot):
        spill(lot, "50", 2)
        entry = lot.movements.get(kind="counted")
        reverse_movement(movement=entry, **act(9, reason="misread"))
        assert said() == []

    def test_taken_back_it_uncovers_the_count_before_it(self, lot):
        spill(lot, "50", 2)
        later = count(lot, "300", 5)
        assert said() == []
        undo(later)
        assert said() == [(430, 380)]

    def test_the_lot_and_the_start_page_say_so_and_lead_there(self, desk, lot):
        assert "disagree" not in page(desk, "start")
        late = spill(lot, "50", 2)
        start, of_lot = page(desk, "start"), page(desk, "lot", "OIL")
        assert "A count and the book disagree" in start
        assert (
            "counted 430 g at workshop on 2026-03-03; the book now says 380 g" in start
        )
        assert "A count and the book disagree" in of_lot
        assert reverse("deed", args=[late.pk]) in of_lot
        assert reverse("deed", args=[lot.counts.get().deed_id]) in of_lot
        count(lot, "380", 5)
        assert "disagree" not in page(desk, "start") + page(desk, "lot", "OIL")

    def test_the_start_page_asks_the_same_however_many(
        self, desk, lot, django_assert_max_num_queries
    ):
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        page(desk, "start")  # what is asked once a process is asked by now
        with CaptureQueriesContext(connection) as few:
            page(desk, "start")
        for number in range(5):
            other = make.lot(f"L{number}", grams="450")
            count(other, "430")
            spill(other, "50", 2)
        with CaptureQueriesContext(connection) as many:
            page(desk, "start")
        assert len(many) == len(few)


def make_crate():
    return ensure_place("crate")


class TestTheFile:
    def replayed(self, text):
        """The book that a file makes; the one that is there is emptied first."""
        return import_history(text=text)

    def test_what_was_found_goes_into_the_file(self):
        lot = make.lot("OIL", grams="450")
        count(lot, "430", reason="a leak")
        count(lot, "430", 4)
        reweigh_lot(lot=lot, found=Decimal(420), **act(5))
        told = [row for row in history_events() if row["type"] in ("count", "reweigh")]
        assert [(row["difference"], row["found"]) for row in told] == [
            ("-20", "430"),
            ("0", "430"),
            ("-10", "420"),
        ]

    def test_and_comes_back_with_its_disagreement(self):
        opening = {
            "type": "opening",
            "date": "2026-03-01",
            "lot": "OIL",
            "item": "oil",
            "amount": "450",
            "unit": "g",
            "value": "4",
        }
        spilt = {"type": "loss", "date": "2026-03-02", "lot": "OIL", "amount": "50"}
        spilt["reason"] = "spilt"
        counted = {"type": "count", "date": "2026-03-03", "lot": "OIL"}
        counted |= {"difference": "-20", "found": "430"}
        self.replayed(write("USD", [opening, spilt, counted]))
        assert make.on_hand(Lot.objects.get()) == 380
        assert said() == [(430, 380)]
        told = [row for row in history_events() if row["type"] == "count"]
        assert told == [{**counted}]

    def test_an_old_file_says_no_more_than_it_did(self):
        opening = {
            "type": "opening",
            "date": "2026-03-01",
            "lot": "OIL",
            "item": "oil",
            "amount": "450",
            "unit": "g",
            "value": "4",
        }
        counted = {"type": "count", "date": "2026-03-03", "lot": "OIL"}
        counted["difference"] = "-20"
        weighed = {**counted, "type": "reweigh", "difference": "-10"}
        self.replayed(write("USD", [opening, counted, weighed]))
        assert make.on_hand(Lot.objects.get()) == 420
        assert not Count.objects.exists()
        assert Movement.objects.filter(kind="counted").count() == 1

    def test_the_batch_that_may_have_got_it_goes_both_ways(self, client):
        tub = make.koh(code="K1", grams="1140")
        oil = make.lot("OIL", item=make.item("rapeseed oil", category="oil"))
        uses = [(oil, "700"), (tub, "140")]
        pot = make.batch("cook", uses=uses, makes="paste", amount="840").batch
        count(tub, "900", batch=pot)
        [told] = [row for row in history_events() if row["type"] == "count"]
        assert told["batch"] == pot.code
