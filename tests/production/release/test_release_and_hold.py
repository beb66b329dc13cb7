"""Quarantine, released, held, rejected: the words on a lot."""

from decimal import Decimal

import pytest

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.correcting.actions.entries import correct_movement
from production.counting.actions import count_lot
from production.lots.actions.lot_deeds import discard, give, move_lot
from production.models import Lot, Status
from production.recipes.actions.formulas import NewVersionLine
from production.release.actions.readings import (
    earliest_release,
    note_measurement,
    record_measurement,
)
from production.release.actions.statuses import (
    hold_lot,
    record_status,
    reject_lot,
    release_lot,
)
from production.stock.actions.opening_lots import Reading
from production.stock.reads.stock import status_on
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import DAY, act, check, day

pytestmark = pytest.mark.django_db


def note(lot, *readings, on=2):
    return note_measurement(lot=lot, readings=readings, **act(on))


def release(lot, on=2, **facts):
    return release_lot(lot=lot, **act(on, **facts))


class TestReleaseByHand:
    def test_it_writes_a_status_of_its_day(self):
        row = release(make.filled(status="quarantine"), 4)
        assert (row.status, row.on, row.override) == ("released", day(4), False)

    def test_a_maker_may_do_it(self):
        row = release(make.filled(status="quarantine"), by=make.maker())
        assert row.status == "released"

    def test_a_bought_lot_that_waited_for_its_check_is_released(self):
        lot = make.lot(item=make.item("kaolin", needs_check=True))
        assert release(lot).status == "released"

    def test_a_released_lot_is_not_released_again(self):
        lot = make.lot()
        with make.refused("is released already"):
            release(lot)

    def test_the_same_key_releases_once(self):
        lot = make.filled(status="quarantine")
        make.sent_twice(release_lot, lot=lot, **act())
        assert lot.statuses.count() == 2


class TestNeutrality:
    def test_a_cook_is_not_released_without_a_check(self):
        paste = make.cook()
        with make.refused("No neutrality check", "Test it"):
            release(paste)

    def test_a_cook_is_not_released_on_a_failed_check(self):
        paste = make.cook(readings=[check(False)])
        with make.refused("failed", "free alkali burns skin and eyes"):
            release(paste)

    def test_a_passed_check_lets_it_go(self):
        assert release(make.cook(readings=[check()])).status == "released"

    def test_the_check_may_have_been_of_the_open_batch(self):
        batch = start_batch(stage="cook", **act())
        use = Use(Decimal(10), lot=make.lot())
        use_lots(batch=batch, uses=[use], **act())
        note_measurement(batch=batch, readings=[check()], **act())
        out = Output(Decimal(9), item=make.item("paste", kind="made"))
        paste = make_lot(batch=batch, output=out, **act())
        assert release(paste).status == "released"

    def test_the_latest_check_decides(self):
        paste = make.cook(readings=[check(False)])
        note(paste, check(True), on=3)
        assert release(paste, 3).status == "released"
        other = make.cook(readings=[check(True)])
        note(other, check(False), on=3)
        with make.refused("failed"):
            release(other, 3)

    def test_a_recipe_may_ask_for_it_at_any_stage(self):
        line = NewVersionLine(make.item(), share=Decimal(1))
        version = make.version("dilution", lines=[line], release="check")
        thin = make.proven(item=make.item("thin soap", kind="made"))
        soap = make.batch(uses=[(thin, "900")], version=version, status="quarantine")
        with make.refused("No neutrality check"):
            release(soap)

    def test_a_failed_check_stops_a_lot_of_any_stage(self):
        soap = make.filled(status="quarantine")
        note(soap, check(False))
        with make.refused("failed"):
            release(soap)

    def test_reworked_paste_is_tested_again(self):
        paste = make.cook(readings=[check(False)])
        again = make.batch(
            "rework", uses=[(paste, "900")], makes="paste", status="quarantine"
        )
        with make.refused("No neutrality check"):
            release(again)

    @pytest.mark.parametrize("readings", [[], [check(False)]])
    def test_no_owner_overrides_it(self, readings):
        paste = make.cook(version=make.version(rest_days=5), readings=readings)
        with make.refused("neutrality"):
            release(paste, override=True, reason="the stall is on Saturday")


class TestReleaseByAPassedCheck:
    def paste(self, **terms):
        return make.cook(version=make.version(release="check", **terms))

    def test_the_check_itself_releases_the_lot(self):
        paste = self.paste()
        note(paste, check(), on=3)
        assert status_on(paste, day(3)) == "released"
        assert status_on(paste, DAY) == "quarantine"

    def test_a_failed_check_does_not(self):
        paste = self.paste()
        note(paste, check(False))
        assert status_on(paste, DAY) == "quarantine"

    def test_it_does_not_where_the_recipe_says_by_hand(self):
        paste = make.cook(version=make.version(), readings=[check()])
        assert status_on(paste, DAY) == "quarantine"

    def test_it_does_not_end_a_rest(self):
        paste = self.paste(rest_days=7)
        note(paste, check(), on=3)
        assert status_on(paste, day(3)) == "quarantine"
        assert release(paste, 9).status == "released"

    def test_it_does_not_end_a_hold(self):
        paste = self.paste()
        hold_lot(lot=paste, **act(reason="complaint"))
        note(paste, check(), on=3)
        assert status_on(paste, day(3)) == "held"

    def test_another_passed_check_is_not_one_of_neutrality(self):
        paste = self.paste()
        note(paste, Reading("clarity", passed=True))
        assert status_on(paste, DAY) == "quarantine"

    def test_another_passed_check_does_not_undo_a_failed_one(self):
        paste = self.paste()
        note(paste, check(False))
        note(paste, Reading("clarity", passed=True), on=3)
        assert status_on(paste, day(3)) == "quarantine"

    def test_a_check_typed_late_does_not_outrank_a_later_failure(self):
        paste = self.paste()
        note(paste, check(False), on=5)
        note(paste, check(True), on=3)
        assert status_on(paste, day(9)) == "quarantine"

    def test_one_failure_among_the_readings_is_enough(self):
        paste = self.paste()
        note(paste, check(), Reading("clarity", passed=False))
        assert status_on(paste, DAY) == "quarantine"

    def test_a_file_passes_no_check_of_a_lot_of_this_book(self):
        lot = self.paste()
        with make.refused("note its check on its page"):
            record_measurement(lot=lot, readings=[check()], **act())

    def test_the_same_key_notes_it_once(self):
        paste = self.paste()
        make.sent_twice(note_measurement, lot=paste, readings=[check()], **act())
        assert (paste.measurements.count(), paste.statuses.count()) == (1, 2)


class TestRest:
    def resting(self):
        version = make.version(rest_days=7)
        return make.cook(version=version, readings=[check()])

    def test_a_lot_rests_as_long_as_its_recipe_says(self):
        lot = self.resting()
        assert earliest_release(lot) == day(9)
        with make.refused("rests until 2026-03-09", "with a reason"):
            release(lot, 8)
        assert release(lot, 9).override is False

    def test_an_owner_cuts_it_short_with_a_reason(self):
        row = release(self.resting(), 4, override=True, reason="small, clear already")
        assert (row.status, row.override) == ("released", True)
        assert row.deed.reason == "small, clear already"

    def test_an_owner_needs_a_reason(self):
        lot = self.resting()
        with make.refused("Write the reason for cutting the rest"):
            release(lot, 4, override=True)

    def test_a_maker_does_not_cut_it_short(self):
        lot, tobias = self.resting(), make.maker()
        with make.refused("Only an owner may cut a rest short"):
            release(lot, 4, override=True, reason="x", by=tobias)

    def test_an_override_that_overrode_nothing_is_not_written_as_one(self):
        row = release(self.resting(), 9, override=True, by=make.maker())
        assert row.override is False

    def test_without_a_recipe_nothing_rests(self):
        assert earliest_release(make.cook()) == DAY

    def test_no_lot_is_released_before_it_was_made(self):
        lot = make.filled(status="quarantine", on=day(5))
        with make.refused("not in the book on 2026-03-04"):
            release(lot, 4)

    def test_a_corrected_day_of_making_moves_the_rest(self):
        lot = self.resting()
        entry = lot.movements.get()
        correct_movement(
            movement=entry,
            amount=entry.amount,
            moved_to=day(4),
            **act(9, reason="made on Wednesday"),
        )
        assert earliest_release(lot) == day(11)


class TestHold:
    def test_it_stops_a_lot_and_says_why(self):
        row = hold_lot(lot=make.lot(), **act(5, reason="odd smell"))
        assert (row.status, row.on, row.deed.reason) == ("held", day(5), "odd smell")

    def test_a_maker_may_do_it(self):
        lot = make.lot()
        hold_lot(lot=lot, **act(by=make.maker(), reason="odd smell"))
        assert status_on(lot, DAY) == "held"

    @pytest.mark.parametrize("reason", ["", "  "])
    def test_it_needs_a_reason(self, reason):
        lot = make.lot()
        with make.refused("Write the reason for holding"):
            hold_lot(lot=lot, **act(reason=reason))

    def test_a_rejected_lot_is_not_held(self):
        lot = make.lot(status="rejected")
        with make.refused("is rejected already"):
            hold_lot(lot=lot, **act(reason="x"))

    def test_an_owner_ends_it_with_a_reason(self):
        lot = make.lot(status="held")
        with make.refused("Write the reason"):
            release(lot)
        assert release(lot, reason="it was the lid").status == "released"

    def test_a_maker_does_not_end_it(self):
        lot, tobias = make.lot(status="held"), make.maker()
        with make.refused("Only an owner may release a lot that is held"):
            release(lot, reason="x", by=tobias)

    @pytest.mark.parametrize("stop", [hold_lot, reject_lot])
    def test_a_word_that_stops_a_lot_is_not_dated_before_what_left_it(self, stop):
        lot = make.filled()
        make.sale(lot, on=day(6))
        with make.refused("was sold on 2026-03-06", "then or later"):
            stop(lot=lot, **act(5, reason="noticed late"))
        assert stop(lot=lot, **act(6, reason="noticed late")).on == day(6)

    def test_one_of_two_causes_is_answered_once_by_the_same_key(self):
        lot = make.lot()
        hold_lot(lot=lot, **act(5, reason="a rash"))
        hold_lot(lot=lot, **act(5, reason="a leak"))
        lifts = [lot.holds.first()]
        told = act(6, reason="it was the plant")
        make.sent_twice(release_lot, lot=lot, lifts=lifts, **told)
        assert status_on(lot, day(6)) == "held"

    def test_a_lot_that_was_only_counted_since_may_be_stopped_from_then_on(self):
        """Nothing of it went anywhere: who counts on the 6th may know of the 5th."""
        lot = make.lot(grams="1000")
        facts = act(6, reason="the stock-take")
        count_lot(lot=lot, found=Decimal(900), **facts)
        held = hold_lot(lot=lot, **act(5, reason="it smells"))
        assert held.on == day(5)
        assert status_on(lot, day(6)) == "held"

    def test_the_same_key_holds_once(self):
        lot = make.lot()
        make.sent_twice(hold_lot, lot=lot, **act(reason="x"))
        assert lot.statuses.count() == 2


class TestReject:
    def test_it_is_the_end_of_a_lot(self):
        lot = make.lot()
        reject_lot(lot=lot, **act(reason="rancid"))
        with make.refused("is rejected", "Rework it", "discard it"):
            release(lot, override=True, reason="not that bad")

    def test_only_an_owner_rejects(self):
        lot, tobias = make.lot(), make.maker()
        with make.refused("Only an owner may reject a lot"):
            reject_lot(lot=lot, **act(by=tobias, reason="rancid"))

    def test_it_needs_a_reason(self):
        lot = make.lot()
        with make.refused("Write the reason for rejecting"):
            reject_lot(lot=lot, **act())

    def test_the_same_key_rejects_once(self):
        lot = make.lot()
        make.sent_twice(reject_lot, lot=lot, **act(reason="rancid"))
        assert lot.statuses.count() == 2


class TestStatusOfADay:
    def test_it_is_the_latest_word_up_to_that_day(self):
        lot = make.lot(on=DAY)
        hold_lot(lot=lot, **act(5, reason="x"))
        release(lot, 8, reason="y")
        days = [status_on(lot, day(number)) for number in (1, 2, 4, 5, 7, 8, 30)]
        held, free = "held", "released"
        assert days == ["", free, free, held, held, free, free]

    def test_a_hold_typed_late_holds_from_its_own_day(self):
        lot = make.lot()
        hold_lot(lot=lot, **act(8, reason="x"))
        hold_lot(lot=lot, **act(4, reason="noticed on Wednesday"))
        assert status_on(lot, day(4)) == "held"

    def test_two_words_of_one_day_count_in_the_order_of_typing(self):
        lot = make.lot()
        hold_lot(lot=lot, **act(reason="x"))
        release(lot, reason="y")
        assert status_on(lot, DAY) == "released"

    def test_a_list_of_lots_shows_the_same_word(self):
        lot = make.lot()
        hold_lot(lot=lot, **act(5, reason="x"))
        assert Lot.objects.with_status().get(pk=lot.pk).status == "held"

    def test_a_status_of_an_earlier_book_is_taken_over(self):
        lot = make.lot()
        row = record_status(lot=lot, status="quarantine", **act(3))
        assert isinstance(row, Status)
        assert status_on(lot, day(3)) == "quarantine"

    def test_a_word_that_is_none_is_refused(self):
        lot = make.lot()
        with make.refused("Status", "lost"):
            record_status(lot=lot, status="lost", **act())


class TestFromAnyStatus:
    @pytest.mark.parametrize("status", ["quarantine", "held", "rejected"])
    def test_goods_are_counted_sampled_moved_reworked_and_discarded(self, status):
        lot = make.lot(status=status)
        count_lot(lot=lot, found=Decimal(990), **act(reason="a rest"))
        give(lot=lot, amount=Decimal(10), why="sample", **act())
        give(lot=lot, amount=Decimal(10), why="retained", **act())
        shed = ensure_place("shed")
        move_lot(lot=lot, amount=Decimal(100), to=shed, **act())
        make.batch("rework", uses=[(lot, "500")], makes="soap", amount="500")
        discard(lot=lot, amount=Decimal(70), **act(reason="spill"))
        assert make.on_hand(lot) == 400
