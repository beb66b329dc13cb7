"""What is really there, and what became drier or damper since."""

from decimal import Decimal

import pytest

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.contents.reads.contents import contents_of
from production.correcting.actions.entries import reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import count_lot
from production.lots.actions.lot_deeds import move_lot, reweigh_lot
from production.models import Movement
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from production.stock.reads.stock import latest_measurement, on_hand_by_place, status_on
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import DAY, act, day

pytestmark = pytest.mark.django_db


def count(lot, found, on=2, **facts):
    facts = {"reason": "yearly count", **facts}
    return count_lot(lot=lot, found=Decimal(found), **act(on, **facts))


def reweigh(lot, found, on=2, **facts):
    return reweigh_lot(lot=lot, found=Decimal(found), **act(on, **facts))


def entries(lot, kind):
    rows = lot.movements.filter(kind=kind).values_list("amount", flat=True)
    return list(rows)


def purity(lot):
    return latest_measurement(lot, "purity").value


class TestCount:
    @pytest.mark.parametrize(("found", "difference"), [("970", -30), ("1020", 20)])
    def test_the_difference_to_the_book_is_written(self, found, difference):
        lot = make.lot()
        count(lot, found)
        assert entries(lot, "counted") == [difference]
        assert make.on_hand(lot) == Decimal(found)

    def test_a_count_that_agrees_is_written_and_books_nothing(self):
        lot = make.lot()
        count(lot, "1000", 5)
        row = lot.counts.get()
        assert (row.found, row.booked, row.on, row.entry) == (1000, 1000, day(5), None)
        assert not entries(lot, "counted")

    def test_a_lot_may_turn_out_to_be_gone(self):
        lot = make.lot()
        count(lot, "0")
        assert make.on_hand(lot) == 0

    def test_a_known_difference_may_be_written_itself(self):
        lot = make.lot()
        count_lot(lot=lot, difference=Decimal("-2.5"), **act())
        assert make.on_hand(lot) == Decimal("997.5")

    def test_each_place_is_counted_by_itself(self):
        lot, crate = make.bottles(pieces="50"), ensure_place("crate")
        move_lot(lot=lot, amount=Decimal(20), to=crate, **act())
        count(lot, "18", place=crate)
        assert on_hand_by_place(lot) == [("crate", 18), ("workshop", 30)]

    def test_a_count_typed_late_is_judged_against_its_own_day(self):
        lot = make.lot()
        make.batch(uses=[(lot, "400")], on=day(6))
        count(lot, "1000", 4)
        assert not entries(lot, "counted")
        count(lot, "990", 4)
        assert make.on_hand(lot) == 590

    def test_a_count_typed_late_may_not_empty_what_was_used_after_it(self):
        lot = make.lot("OIL-7")
        make.batch(uses=[(lot, "900")], on=day(6))
        with make.refused("OIL-7 would be 100 g short", "came after"):
            count(lot, "800", 4)

    @pytest.mark.parametrize("found", [Decimal(-1), None])
    def test_it_refuses_less_than_nothing_and_no_answer(self, found):
        lot = make.lot()
        with make.refused("zero or more"):
            count_lot(lot=lot, found=found, **act())

    def test_it_refuses_half_a_bottle(self):
        lot = make.bottles()
        with make.refused("whole pieces"):
            count(lot, "9.5")

    def test_the_same_key_counts_once(self):
        lot = make.lot()
        facts = act(reason="yearly count")
        make.sent_twice(count_lot, lot=lot, found=Decimal(990), **facts)
        assert entries(lot, "counted") == [-10]


class TestReweigh:
    def test_the_difference_is_an_entry_of_its_own_kind(self):
        lot = make.lot()
        reweigh(lot, "950", 6)
        entry = lot.movements.get(kind="reweighed")
        assert (entry.amount, entry.on) == (-50, day(6))

    def test_a_drum_that_took_up_damp_is_weaker_by_as_much(self):
        lot = make.koh("0.9", grams="1000")
        reweigh(lot, "1050", 6)
        assert purity(lot) == Decimal("0.857143")
        kept = lot.measurements.filter(what="purity").values_list(
            "basis", "value", "on"
        )
        assert list(kept) == [
            ("stated", Decimal("0.9"), DAY),
            ("measured", Decimal("0.857143"), day(6)),
        ]

    def test_paste_that_dried_out_holds_more_soap_by_as_much(self):
        paste = make.cook(readings=[Reading("soap content", Decimal("0.4"))])
        reweigh(paste, "720", 6)
        assert latest_measurement(paste, "soap content").value == Decimal("0.5")

    def test_what_was_never_read_stays_unknown(self):
        lot = make.lot()
        reweigh(lot, "950")
        assert not lot.measurements.exists()

    def test_its_state_stays(self):
        lot = make.lot(status="held")
        reweigh(lot, "950")
        assert status_on(lot, DAY) == "held"

    def test_where_one_of_two_places_is_weighed_the_value_is_of_the_whole_lot(self):
        lot, shed = make.koh("0.9", grams="1000"), ensure_place("shed")
        move_lot(lot=lot, amount=Decimal(500), to=shed, **act())
        reweigh(lot, "550", place=shed)
        assert purity(lot) == Decimal("0.857143")
        assert on_hand_by_place(lot) == [("shed", 550), ("workshop", 500)]

    def test_a_weighing_typed_late_is_judged_against_its_own_day(self):
        lot = make.koh("0.9", grams="1000")
        make.batch("preparation", uses=[(lot, "500")], makes="lye", on=day(8))
        reweigh(lot, "1050", 6)
        assert make.on_hand(lot) == 550
        assert purity(lot) == Decimal("0.857143")

    @pytest.mark.parametrize(("used", "there"), [("899", True), ("900", False)])
    def test_what_was_weighed_cannot_have_been_used_up_before(self, used, there):
        """900 g stood on the scale on the 6th: they did not all go out on the 5th."""
        lot = make.lot(grams="1000")
        reweigh(lot, "900", 6)
        uses = [Use(Decimal(used), lot)]
        batch = start_batch(stage="finishing", **act(4))
        if there:
            use_lots(batch=batch, uses=uses, **act(5))
            assert make.on_hand(lot) == 1
            return
        with make.refused("was weighed again on 2026-03-06", "nothing of it"):
            use_lots(batch=batch, uses=uses, **act(5))

    def test_a_difference_may_be_written_itself(self):
        lot = make.lot()
        reweigh_lot(lot=lot, difference=Decimal(-10), **act())
        assert make.on_hand(lot) == 990

    def test_taken_back_it_leaves_the_purity_as_it_was(self):
        lot = make.koh("0.9", grams="1000")
        deed = reweigh(lot, "1050", 6)
        undo_deed(undone=deed, **act(7))
        assert make.on_hand(lot) == 1000
        assert purity(lot) == Decimal("0.9")

    def test_its_entry_is_not_taken_back_without_what_it_restated(self):
        lot = make.koh("0.9", grams="1000")
        reweigh(lot, "1050", 6)
        entry = Movement.objects.get(kind="reweighed")
        with make.refused("Take it back as a whole"):
            reverse_movement(movement=entry, **act(7, reason="wrong scale"))

    def test_a_use_on_a_later_day_takes_the_restated_purity(self):
        lot = make.koh("0.9", grams="1000")
        reweigh(lot, "1050", 6)
        lye = make.batch(
            "preparation", uses=[(lot, "1050")], makes="lye", amount="1050", on=day(8)
        )
        pure = contents_of(lye).finished.of_kind("alkali")
        assert pure == pytest.approx(Decimal(900), abs=Decimal("0.001"))

    @pytest.mark.parametrize(
        ("found", "says"),
        [("0", "above zero"), ("-1", "above zero"), ("1000", "Nothing to restate")],
    )
    def test_it_refuses_a_weight_that_says_nothing(self, found, says):
        lot = make.lot()
        with make.refused(says):
            reweigh(lot, found)

    @pytest.mark.parametrize("found", ["890", "999.9"])
    def test_an_alkali_never_gets_purer_by_weighing_less(self, found):
        """It draws damp and carbon dioxide; it does not dry in the store."""
        lot = make.koh("0.9", grams="1000")
        with make.refused("it draws damp and never dries", "count it instead"):
            reweigh(lot, found)
        count(lot, found)
        assert purity(lot) == Decimal("0.9")

    def test_past_a_few_percent_only_a_titration_says_how_strong_it_is(self):
        lot = make.koh("0.9", grams="1000")
        with make.refused("K1 weighs 6.0 % more", "Titrate it and note the purity"):
            reweigh(lot, "1060")
        found = Reading("purity", Decimal("0.84"))
        note_measurement(lot=lot, readings=[found], **act())
        count(lot, "1060")
        assert (purity(lot), make.on_hand(lot)) == (Decimal("0.84"), 1060)

    def test_a_soap_content_above_the_whole_is_refused(self):
        paste = make.cook(readings=[Reading("soap content", Decimal("0.9"))])
        with make.refused("At 800 g the soap content", "more than the whole"):
            reweigh(paste, "800", 6)

    def test_it_refuses_pieces(self):
        lot = make.bottles()
        with make.refused("counted in pieces", "Count it instead"):
            reweigh(lot, "40")

    def test_it_refuses_a_place_where_nothing_stands(self):
        lot, shed = make.lot(), ensure_place("shed")
        with make.refused("Nothing of", "at shed"):
            reweigh(lot, "40", place=shed)

    def test_the_same_key_reweighs_once(self):
        lot = make.koh(grams="1000")
        make.sent_twice(reweigh_lot, lot=lot, found=Decimal(1010), **act())
        assert entries(lot, "reweighed") == [10]
