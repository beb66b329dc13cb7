"""A count says what was there. It is not only a correction of a number.

A maker counts a tub on 3 May and finds 430 g. Whatever is typed later, 430 g stood
there on that day. When somebody writes down on the 6th a use of the 1st that was
forgotten, the book says 380 g for the 3rd, and one of the two is wrong: the book must
say so until she has counted again, or the entry is mended. What is missing of an alkali
went somewhere, and a pot that got too much of it burns skin: she is asked which.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.batches.reads.may_hold import may_hold
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import count_lot
from production.counting.domain import Difference
from production.counting.reads import disagreeing
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.fitness.domain.reasons import Purpose
from production.fitness.reads import fitness
from production.lots.actions.lot_deeds import discard, move_lot, reweigh_lot
from production.models import Count, Deed, Lot, Movement
from production.record.domain.text import write
from production.release.actions.readings import note_measurement
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.opening_lots import Reading
from production.stock.reads.value import answered_by, worth_of
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import act, day
from tests.production.writing import typed

pytestmark = pytest.mark.django_db


def count(lot, found, on=3, **facts):
    facts = {"reason": "yearly count", **facts}
    return count_lot(lot=lot, found=Decimal(found), **act(on, **facts))


def spill(lot, grams, on):
    return discard(lot=lot, amount=Decimal(grams), **act(on, reason="spilt"))


def undo(deed, on=9):
    return undo_deed(undone=deed, **act(on, reason="it was not so"))


def said():
    """What the book disagrees with: counted, and what it says now."""
    return [(row.count.found, row.says) for row in disagreeing()]


def page(desk, name, *args):
    return " ".join(desk.get(reverse(name, args=args)).content.decode().split())


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


class TestTheBand:
    @pytest.mark.parametrize(
        ("booked", "found", "unit", "asked"),
        [
            ("1000", "995", "g", False),
            ("1000", "994", "g", True),
            ("1000", "1006", "g", True),
            ("50", "49", "g", False),
            ("50", "48.9", "g", True),
            ("0", "2", "g", True),
            ("50", "49", "piece", True),
            ("1000", "995", "piece", False),
        ],
    )
    def test_half_a_percent_or_a_gram_is_the_scale_s_word(
        self, booked, found, unit, asked
    ):
        row = Difference(Decimal(booked), Decimal(found), unit)
        assert row.beyond is asked

    def test_beyond_it_nothing_is_written_without_a_reason(self):
        lot = make.lot("OIL")
        with make.refused("OIL is 30 g less than the 1000 g of the book, 3.0 %"):
            count(lot, "970", reason="")
        with make.refused("OIL is 30 g more"):
            count(lot, "1030", reason=" ")
        count(lot, "996", reason="")
        assert make.on_hand(lot) == 996

    def test_the_page_shows_grams_and_money_before_it_is_written(self, desk):
        make.lot("OIL", price="10.00")
        url = reverse("lot-count", args=["OIL"])
        sent = typed(desk.get(url)) | {"found": "970 g", "reason": "a leak"}
        first = desk.post(url, sent)
        text = " ".join(first.content.decode().split())
        assert "Missing: <span" in text
        assert "Nothing is written yet" in text
        assert "It cost" in text
        assert ">0.30 <small>" in text
        assert "would be written off" in text
        assert not Count.objects.exists()
        assert typed(first)["reason"] == "a leak"
        assert desk.post(url, typed(first)).status_code == 302
        assert make.on_hand(Lot.objects.get()) == 970

    def test_what_is_changed_after_the_look_is_shown_again(self, desk):
        make.lot("OIL")
        url = reverse("lot-count", args=["OIL"])
        sent = typed(desk.get(url)) | {"found": "970 g", "reason": "a leak"}
        shown = typed(desk.post(url, sent)) | {"found": "97 g"}
        assert desk.post(url, shown).status_code == 200
        assert not Count.objects.exists()

    def test_a_price_that_is_missing_is_said_and_never_zero(self, desk):
        make.lot("OIL", price=None)
        url = reverse("lot-count", args=["OIL"])
        sent = typed(desk.get(url)) | {"found": "970 g"}
        assert "a price is missing" in desk.post(url, sent).content.decode()

    def test_within_the_band_it_is_written_at_once(self, desk):
        make.lot("OIL")
        url = reverse("lot-count", args=["OIL"])
        assert desk.post(url, typed(desk.get(url)) | {"found": "999 g"}).url == (
            "/lots/OIL/"
        )

    def test_where_nobody_answers_for_money_it_is_unknown(self):
        from costing.reads import unit_costs

        lot = make.lot()
        try:
            answered_by(lambda lots: {})
            assert worth_of([(lot, Decimal(5))]) == {lot.pk: None}
        finally:
            answered_by(unit_costs)
        assert worth_of([(lot, Decimal(-5))]) == {lot.pk: Decimal("-0.05")}


class TestMissingAlkali:
    """1,000 g of lye flakes are there by the book, and only 900 g in the tub."""

    @pytest.fixture
    def tub(self):
        return make.koh(code="K1", grams="1140")

    @pytest.fixture
    def pot(self, tub):
        value = Reading("saponification value", Decimal(188))
        oil = make.item("rapeseed oil", category="oil")
        oil = make.lot("OIL", item=oil, readings=(value,))
        uses = [(oil, "700"), (tub, "140")]
        return make.batch("cook", uses=uses, makes="paste", amount="840").batch

    def test_it_asks_which_batch_may_have_got_it(self, tub, pot):
        with make.refused("K1 is an alkali", "which batch may have got it"):
            count(tub, "900")

    def test_the_answer_is_kept_and_stands_on_that_batch(self, desk, tub, pot):
        count(tub, "900", batch=pot, reason="the scale hung")
        row = tub.counts.get()
        assert row.batch == pot
        [held] = may_hold(pot)
        assert held.amount == 100
        assert held.with_it < 0 < held.without
        text = page(desk, "batch", pot.code)
        assert "It may hold more alkali than was written" in text
        assert "the scale hung" in text
        assert "That would be lye excess" in text

    def test_what_it_made_waits_for_a_new_check(self, tub, pot):
        """Soap that may hold 100 g more lye is not sold on the test from before."""
        paste = pot.lot
        assert fitness(paste, Purpose.USE, day(9)).fit
        deed = count(tub, "900", batch=pot, reason="the scale hung")
        assert not fitness(paste, Purpose.USE, day(9)).fit
        undo(deed)
        assert fitness(paste, Purpose.USE, day(9)).fit
        count(tub, "900", batch=pot, reason="the scale hung")
        note_measurement(lot=paste, readings=[make.check()], **make.act(9))
        assert fitness(paste, Purpose.USE, day(9)).fit

    def test_taken_back_it_leaves_the_batch(self, desk, tub, pot):
        undo(count(tub, "900", batch=pot))
        assert "may hold more alkali" not in page(desk, "batch", pot.code)

    def test_nobody_may_be_the_answer(self, tub, pot):
        count(tub, "900", nobody=True, reason="spilt on the floor")
        assert tub.counts.get().batch is None

    def test_a_batch_that_used_none_is_no_answer(self, tub, pot):
        other = make.batch(uses=[(make.lot(), "5")]).batch
        with make.refused("used none of potassium hydroxide since the last count"):
            count(tub, "900", batch=other)

    def test_only_batches_since_the_last_count_are_asked_about(self, tub, pot):
        count(tub, "1000")
        count(tub, "900", 5)
        assert tub.counts.last().batch is None

    def test_a_batch_from_another_tub_of_it_may_have_got_it(self, tub, pot):
        other = make.koh(code="K2", grams="500")
        with make.refused("K2 is an alkali"):
            count(other, "400")

    def test_a_lye_made_here_is_an_alkali_whatever_its_name(self, tub):
        water = make.lot(item=make.item("water", category="water"))
        lye = make.batch(
            "preparation", uses=[(tub, "500"), (water, "500")], makes="blue jug"
        )
        oil = make.lot("OIL", item=make.item("rapeseed oil", category="oil"))
        make.batch("cook", uses=[(oil, "700"), (lye, "280")], makes="paste")
        with make.refused("is an alkali"):
            count(lye, "500")

    def test_a_surplus_asks_for_a_reason_alone(self, tub, pot):
        with make.refused("write the reason"):
            count(tub, "1100", reason="")
        count(tub, "1100")

    def test_the_page_lists_them_and_takes_the_answer(self, desk, tub, pot):
        url = reverse("lot-count", args=["K1"])
        sent = typed(desk.get(url)) | {"found": "900 g", "reason": "low"}
        asked = desk.post(url, sent)
        assert f'value="{pot.pk}"' in asked.content.decode()
        assert "say which batch may have got it" in asked.content.decode()
        answered = typed(asked) | {"got": str(pot.pk)}
        assert desk.post(url, answered).status_code == 302
        assert tub.counts.get().batch == pot


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
