"""A disk died on Friday, the backup is of Monday: what the book cannot know.

Between, the maker cooked, a check failed, a lot was held for a rash, bottles were
filled and labelled, some were sold. The restored book must not hand the same codes out
again, nor sell on the strength of a pass that a later failure took away. It asks an
owner, and what she says is entered by the deeds that are there for it.
"""

import io
import json
import re
from datetime import UTC, date, datetime
from decimal import Decimal as D

import pytest
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.urls import reverse

from config.audit import audit
from production.batches.actions.batches import run_batch, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.closing.actions import close_book
from production.correcting.actions.entries import correct_movement
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import count_lot
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.fitness.domain.reasons import Lifts, Mends, Purpose
from production.fitness.reads import fitness
from production.fitness.reads.restored import waiting_restore
from production.fitness.reads.what_left import leavings, left_before_it_was_known
from production.lots.actions.lot_deeds import give
from production.models import (
    Batch,
    CodeSeries,
    Deed,
    Hold,
    Lot,
    Measurement,
    Restored,
    Sale,
    SinceBackup,
)
from production.quantities.domain.codes import (
    Issued,
    issue,
    next_code,
    read_entry,
    read_issued,
    serial_of,
)
from production.quantities.domain.refusal import Refused
from production.record.actions.again import WrittenAgain, written_again
from production.restoring.actions import Since, note_restored, say_what_happened
from production.selling.actions import sales as deeds
from production.selling.actions.sales import NewSaleLine
from production.stock.reads.stock import status_on
from tests import make
from tests.make import act, day

MONDAY = datetime(2026, 3, 2, 14, 10, tzinfo=UTC)
FRIDAY = datetime(2026, 3, 6, 9, 0, tzinfo=UTC)
OUT = [Purpose.SALE, Purpose.GIFT, Purpose.MOVE, Purpose.LABEL]


def restore(taken=MONDAY, back=FRIDAY):
    return note_restored(taken_at=taken, restored_at=back)


def answer(row=None, number=6, **facts):
    row = row or Restored.objects.last()
    return say_what_happened(restored=row, **{**act(number), **facts})


def why(lot, purpose=Purpose.SALE, number=6):
    return [reason.mends for reason in fitness(lot, purpose, day(number)).reasons]


def sell(lot, number=6, code="", **facts):
    line = NewSaleLine(lot, D(1), D(9))
    facts = {"lines": [line], "channel": "stall", "number": code, **facts}
    return deeds.sell(**facts, **act(number))


def soap_of(code, **facts):
    """Soap by the gram from outside, tested."""
    return make.proven(code, item=make.item("diluted soap", kind="made"), **facts)


def asked(says):
    """A maker is asked; what the test itself had to make for it is not looked at."""
    return pytest.raises(WrittenAgain, match=says)


def code(ahead):
    """A code that the lost book had given out, so many numbers further on."""
    last = CodeSeries.objects.filter(name="lot").values_list("last", flat=True).first()
    return next_code((last or 0) + ahead)[0]


class TestReadingACode:
    def test_every_code_leads_back_to_its_number(self):
        for serial in [*range(2000), 32**4 - 1, 32**4, 32**4 + 7, 32**4 + 32**5 - 1]:
            if text := issue(serial):
                assert serial_of(text) == serial

    @pytest.mark.parametrize(
        ("text", "issued"),
        [
            ("h5gw v", Issued("H5GW-V", "lot", 4)),
            ("H5GW", Issued("H5GW-V", "lot", 4)),
            ("b-h5gw-v", Issued("B-H5GW-V", "lot", 4)),
            ("P-1234", Issued("P-1234", "purchase", 1234)),
            ("s-7", Issued("S-7", "sale", 7)),
            ("RT-3", Issued("RT-3", "return", 3)),
            ("TIDE-8OZ-1", Issued("TIDE-8OZ-1")),
        ],
    )
    def test_it_is_read_as_it_may_be_written(self, text, issued):
        assert read_issued(text) == issued

    def test_one_of_ours_that_is_mistyped_is_no_other_mark(self):
        with pytest.raises(ValueError, match="mistyped"):
            read_issued("H5GX-V")

    @pytest.mark.parametrize(
        ("text", "read"),
        [
            ("S\u201332", ["S-32"]),
            ("s\u221232", ["S-32"]),
            ("S.32", ["S-32"]),
            ("S 32", ["S-32"]),
            ("S-32.", ["S-32"]),
            ("\u0405-32", ["S-32"]),  # a Cyrillic letter
            ("S-32\u200b", ["S-32"]),
            ("S-32 RT-4 H5GW\u2013V", ["S-32", "RT-4", "H5GW-V"]),
            ("TIDE 8OZ 7", ["TIDE 8OZ 7"]),
        ],
    )
    def test_an_entry_of_the_list_is_read_however_it_is_spelled(self, text, read):
        assert [one.text for one in read_entry(text, near=5000)] == read

    @pytest.mark.parametrize(
        "text",
        [
            *("S-32 (Inn)", "sale S 32", "sale 32", "S32", "S-32/33", "S-32a"),
            *("S-30 to S-40", "lot H5GW", "H5GW-V (Inn)", "S-1234567890123"),
        ],
    )
    def test_one_of_ours_among_other_words_is_asked_back(self, text):
        with pytest.raises(Refused, match="on a line of its own"):
            read_entry(text, near=5000)

    @pytest.mark.parametrize("text", ["hello world", "none", "I think none", "water"])
    def test_words_are_no_code(self, text):
        with pytest.raises(Refused, match="no digit in it"):
            read_entry(text, near=5000)

    def test_a_code_without_its_last_character_counts_only_near_by(self):
        far = next_code(700_000)[0]
        assert read_entry(far, near=5000)[0].series == "lot"
        assert not any(one.series for one in read_entry("H5GW", near=3))


pytestmark = pytest.mark.django_db


class TestUntilItIsAnswered:
    @pytest.mark.parametrize("purpose", OUT)
    def test_nothing_alkaline_goes_out(self, purpose):
        lot = make.filled("F1")
        assert why(lot, purpose) == []
        restore()
        [reason] = fitness(lot, purpose, day(6)).reasons
        assert reason.mends == Mends.RESTORED
        assert reason.who_can_lift == Lifts.OWNER
        assert "2026-03-02 at 14:10" in reason.says
        assert "page Restored from a backup" in reason.says

    def test_the_doors_say_the_same(self):
        lot = make.filled("F1")
        restore()
        with make.refused("backup of 2026-03-02 at 14:10", "F1 is not sold"):
            sell(lot, code="S-1")
        with make.refused("F1 is not sold, given"):
            give(lot=lot, amount=D(1), why="gift", recipient="Oda", **act(6))

    def test_no_owner_goes_round_it_in_the_act(self):
        lye = make.koh()
        restore()
        with make.refused("backup"):
            sell(lye, code="S-1", override=True, reason="a fellow maker")

    def test_soap_from_outside_and_what_is_in_a_set_wait_too(self):
        bought = soap_of("SOAP")
        box = make.lot("BOX", item=make.item("box", kind="packaging", unit="piece"))
        gift = make.batch(
            "packing",
            uses=[(make.filled("F1"), "4"), (box, "4")],
            makes="gift set",
            unit="piece",
            amount="4",
        )
        restore()
        assert why(bought) == why(gift) == [Mends.RESTORED]

    def test_no_more_is_given_by_correcting_a_gift(self):
        lot = make.filled("F1")
        facts = {"lot": lot, "why": "gift", "recipient": "Oda"}
        entry = give(**facts, amount=D(3), **act(2)).movement
        restore()
        mend = act(6, reason="miscounted")
        with make.refused("backup"):
            correct_movement(movement=entry, amount=D(4), **mend)
        with make.refused("backup"):
            moved = {"amount": D(3), "moved_to": day(6)}
            correct_movement(movement=entry, **moved, **mend)
        correct_movement(movement=entry, amount=D(2), **mend)
        row = entry.line.get()
        with make.refused("backup"):
            correct_movement(movement=row, amount=D(3), **mend)
        answer()
        correct_movement(movement=row, amount=D(3), **mend)

    def test_what_never_met_an_alkali_goes_on(self):
        oil = make.lot("OIL", item=make.item("rapeseed oil", category="oil"))
        restore()
        assert why(oil) == []
        make.sale(oil, number="S-1", on=day(6))

    def test_a_pot_is_cooked_diluted_and_filled_meanwhile(self):
        soap = soap_of("SOAP", grams="9000")
        restore()
        assert why(soap, Purpose.USE) == why(soap, Purpose.FILL) == []

    def test_a_lot_whose_whole_family_is_younger_waits_as_well(self):
        """The simplest rule that is safe: one answer frees all of it."""
        restore()
        with written_again():
            lot = soap_of("NEW", on=day(6))
        assert why(lot) == [Mends.RESTORED]

    def test_it_waits_whatever_the_day_of_the_sale(self):
        lot = make.filled("F1")
        restore()
        with make.refused("backup"):
            sell(lot, 3, code="S-1")

    def test_the_command_says_so(self):
        make.filled("F1")
        restore()
        out = io.StringIO()
        call_command("fit", "F1", "--for", "sale", "--on", "2026-03-06", stdout=out)
        call_command("trace", "F1", stdout=out)
        assert out.getvalue().count("restored from a backup") == 2


class TestTheAnswer:
    def test_none_found_frees_all_of_it(self):
        lot = make.filled("F1")
        row = restore()
        said = answer()
        assert (said.restored, said.codes) == (row, "")
        assert why(lot) == []
        make.sale(lot, on=day(6))

    def test_only_an_owner_answers(self):
        restore()
        with make.refused("Only an owner"):
            answer(by=make.maker())

    def test_it_is_answered_once(self):
        restore()
        facts = {"restored": Restored.objects.get(), "codes": ["S-1"]}
        make.sent_twice(say_what_happened, **facts, **act(6))
        with make.refused("answered already"):
            answer()

    def test_a_check_that_failed_stops_the_paste_and_what_was_made_of_it(self):
        paste = soap_of("PASTE", grams="9000")
        thin = make.batch(uses=[(paste, "900")], code="THIN")
        other = make.filled("F1")
        restore()
        answer(since=[Since("failed", paste, day(4), "pink at the rim")])
        assert why(paste) == why(thin) == [Mends.FAILED]
        assert why(other) == []
        check = Measurement.objects.get(lot=paste, passed=False)
        assert (check.on, check.note) == (day(4), "pink at the rim")
        assert check.deed.verb == "note a measurement"

    def test_a_failure_of_the_day_of_the_backup_is_later_than_its_pass(self):
        paste = soap_of("PASTE", on=day(2))
        restore()
        answer(since=[Since("failed", paste, day(2))])
        assert why(paste) == [Mends.FAILED]

    def test_what_was_held_is_held_with_what_it_reached(self):
        soap = soap_of("SOAP", grams="9000")
        thin = make.batch(uses=[(soap, "900")], code="THIN")
        restore()
        answer(since=[Since("held", soap, day(3), "a rash")])
        assert status_on(thin, day(6)) == status_on(soap, day(6)) == "held"
        hold = Hold.objects.get(lot=soap)
        assert "a rash (held on 2026-03-03" in hold.cause
        assert hold.deed.verb == "hold a lot"

    def test_it_is_held_though_some_was_used_before_the_answer(self):
        soap = soap_of("SOAP", grams="9000")
        restore()
        thin = _dilute(soap)
        answer(since=[Since("held", soap, day(3), "a rash")])
        assert status_on(thin, day(6)) == "held"

    def test_an_open_pot_may_have_failed_or_been_held(self):
        oil, lye = make.lot("OIL"), make.koh()
        pot = start_batch(stage="cook", code="POT", **act(2))
        uses = [Use(D(500), lot=oil), Use(D(90), lot=lye)]
        use_lots(batch=pot, uses=uses, **act(2))
        restore()
        answer(
            since=[
                Since("failed", pot, day(3)),
                Since("held", pot, day(3), "a thermometer broke"),
            ]
        )
        assert Measurement.objects.get(batch=pot, passed=False)
        assert Hold.objects.get(batch=pot)

    @pytest.mark.parametrize(
        ("row", "says"),
        [
            (("failed", day(1), ""), "before the backup of 2026-03-02"),
            (("held", day(3), " "), "Write why F1 was held"),
            (("eaten", day(3), ""), "say what happened"),
        ],
    )
    def test_a_row_that_cannot_be_is_refused_whole(self, row, says):
        lot = make.filled("F1")
        what, on, words = row
        restore()
        with make.refused(says):
            answer(codes=["S-1"], since=[Since(what, lot, on, words)])

    def test_no_row_goes_by_the_tongue(self):
        lot = make.filled("F1")
        restore()
        with make.refused("tongue"):
            answer(since=[Since("failed", lot, day(3), "it zapped my tongue")])

    def test_what_went_asks_for_a_count_until_it_is_counted(self, desk):
        lot = make.filled("F1")
        restore()
        answer(since=[Since("gone", lot, day(3))])
        page = desk.get(reverse("start")).content.decode()
        assert "To count since the backup" in page
        assert reverse("lot-count", args=["F1"]) in page
        count_lot(lot=lot, found=D(18), **act(7, reason="sold on Thursday"))
        assert "since the backup" not in desk.get(reverse("start")).content.decode()

    def test_what_had_left_of_a_failed_lot_is_named(self):
        lot = make.filled("F1")
        make.sale(lot, "2")
        restore()
        assert left_before_it_was_known(lot) == []
        answer(since=[Since("failed", lot, day(4))])
        assert [row.amount for row in left_before_it_was_known(lot)] == [2]


def _dilute(soap):
    product = make.item("diluted soap", kind="made")
    return run_batch(
        stage="dilution",
        code="DIL",
        uses=[Use(D(900), lot=soap)],
        output=Output(D(900), item=product, code="THIN", status="released"),
        **act(6),
    )


class TestCodes:
    def test_none_is_given_out_before_somebody_has_looked(self):
        oil = make_oil()
        restore()
        with make.refused("Write one by hand", "an owner first says"):
            start_batch(stage="cook", **act(6))
        with make.refused("the next code or number may"):
            sell(oil)

    def test_by_hand_one_may_be_written_meanwhile(self):
        restore()
        assert start_batch(stage="cook", code="POT", **act(6)).code == "POT"

    def test_every_series_goes_on_past_the_highest(self):
        oil = make_oil()
        start_batch(stage="cook", **act())
        restore()
        found = [code(3), f"B-{code(9)}".lower(), code(5)[:4], "S-17", "s-12", "RT-4"]
        answer(codes=[*found, "P-8"])
        highest = read_issued(found[1]).serial
        first = start_batch(stage="cook", **act(6))
        assert read_issued(first.code).serial > highest
        assert make.sale(oil, on=day(6)).number == "S-18"
        lasts = dict(CodeSeries.objects.values_list("name", "last"))
        assert (lasts["purchase"], lasts["return"]) == (8, 4)

    def test_a_series_never_goes_back(self):
        for _ in range(3):
            start_batch(stage="cook", **act())
        last = CodeSeries.objects.get(name="lot").last
        restore()
        answer(codes=["2222-E"])
        assert CodeSeries.objects.get(name="lot").last == last

    def test_a_code_in_the_gap_is_asked_about_and_may_be_written_again(self):
        restore()
        true, highest = code(3), code(9)
        answer(codes=[highest])
        with make.refused(f"{true} was given out after the backup", "Tick"):
            start_batch(stage="cook", code=f"B-{true}", **act(3))
        with asked("stands on something already"):
            make.lot(true)
        with written_again():
            tuesday = make.lot(true, on=day(3))
        assert tuesday.code == true
        # It is in the book now, and taken like any other.
        with make.refused("is taken"), written_again():
            make.lot(true)

    def test_a_mark_of_her_own_that_was_read_off_is_asked_about_too(self):
        restore()
        with make.refused("gives out no such code", "Read it again"):
            answer(codes=["tide 8oz 7"])
        answer(codes=["tide 8oz 7"], confirmed=True)
        with asked("given out after the backup"):
            make.lot("TIDE 8OZ 7")
        make.lot("TIDE 8OZ 8")

    def test_a_paper_in_the_gap_is_asked_about(self):
        oil = make_oil()
        restore()
        answer(codes=["S-7"])
        with make.refused("S-5 was given out"):
            sell(oil, code="S-5")
        with written_again():
            assert make.sale(oil, number="S-5", on=day(3)).number == "S-5"

    def test_of_what_is_in_the_book_nothing_is_asked(self):
        batch = start_batch(stage="cook", code="B-H5GW-V", **act())
        restore()
        answer(codes=[code(20)])
        oil = make_oil()
        use_lots(batch=batch, uses=[Use(D(5), lot=oil)], **act(6))
        assert Batch.objects.get(code="B-H5GW-V")

    @pytest.mark.parametrize("text", ["H5GX-V", "QP8C-K"])
    def test_a_code_misread_is_asked_about_and_raises_nothing(self, text):
        restore()
        with make.refused("does not fit", "Read it again"):
            answer(codes=[text])
        answer(codes=[text], confirmed=True)
        assert not CodeSeries.objects.filter(name="lot", last__gt=0).exists()
        assert SinceBackup.objects.get().codes == text

    @pytest.mark.parametrize("text", ["S-32 (Inn)", "sale S 32", "none", "hello world"])
    def test_no_tick_makes_a_foreign_mark_of_these(self, text):
        restore()
        with make.refused(text):
            answer(codes=[text], confirmed=True)
        assert waiting_restore()

    def test_a_number_is_not_given_out_again_however_it_was_typed(self):
        oil = make_oil()
        restore()
        answer(codes=["S\u201332"])
        assert make.sale(oil, on=day(6)).number == "S-33"

    def test_one_that_is_found_later_is_added(self):
        oil = make_oil()
        restore()
        said = answer()
        answer(number=7, codes=["S-32"])
        assert make.sale(oil, on=day(7)).number == "S-33"
        with make.refused("S-31 was given out"):
            sell(oil, 7, code="S-31")
        [event] = [e for e in history_events() if e["type"] == "restored"]
        assert event["answered"] == {"date": "2026-03-06", "codes": "S-32"}
        # What was added does not stand for the answer itself.
        with make.refused("Take that back first"):
            undo_deed(undone=said.deed, **act(7, reason="asked too few"))
        undo_deed(undone=said.deed, along=True, **act(7, reason="too few"))
        assert waiting_restore()

    def test_before_the_backup_nobody_knew(self):
        restore()
        with make.refused("The backup is of 2026-03-02"):
            answer(number=1)
        answer(number=2)

    def test_a_code_far_off_is_asked_about(self):
        restore()
        far = next_code(700_000)[0]
        with make.refused("further on than the book has come"):
            answer(codes=[far])
        answer(codes=[far], confirmed=True)
        assert CodeSeries.objects.get(name="lot").last >= 700_000


def make_oil():
    found = Lot.objects.filter(code="OIL").first()
    return found or make.lot("OIL", item=make.item("rapeseed oil", category="oil"))


class TestSeveralRestores:
    def test_one_answer_is_for_all_that_wait_since_the_earliest(self):
        lot = make.filled("F1")
        restore()
        restore(
            datetime(2026, 3, 7, 8, 0, tzinfo=UTC), datetime(2026, 3, 9, tzinfo=UTC)
        )
        assert waiting_restore().since == "2026-03-02 at 14:10"
        with make.refused("The backup is of 2026-03-07"):
            answer(number=6)
        answer(number=9)
        assert waiting_restore() is None
        assert why(lot) == []

    def test_an_answered_one_stays_answered_and_the_next_asks_anew(self):
        lot = make.filled("F1")
        first = restore()
        answer()
        second = restore(FRIDAY, datetime(2026, 3, 12, tzinfo=UTC))
        assert why(lot) == [Mends.RESTORED]
        assert waiting_restore().since == "2026-03-06 at 09:00"
        answer(number=12)
        assert first.answers.get()
        assert second.answers.get()

    def test_a_page_opened_before_another_restore_does_not_answer_that(self):
        first = restore()
        restore(FRIDAY, datetime(2026, 3, 12, tzinfo=UTC))
        answer(first)
        assert waiting_restore().since == "2026-03-06 at 09:00"

    def test_told_twice_it_is_one(self):
        assert restore() == restore()
        assert Restored.objects.count() == 1

    def test_nobody_signs_in_for_it(self):
        row = restore()
        user = get_user_model().objects.get(username="restore")
        assert row.deed.by == user
        assert not user.is_active
        assert not user.has_usable_password()
        assert row.deed.on == day(6)

    def test_it_is_never_taken_back(self):
        row = restore()
        with make.refused("an owner says what happened"):
            undo_deed(undone=row.deed, **act(7, reason="a mistake"))

    def test_a_closed_month_does_not_stand_in_the_way(self):
        lot = make.filled("F1")
        close_book(through=day(31), **{**act(), "on": date(2026, 4, 1)})
        restore()
        answer(since=[Since("failed", lot, day(3))])
        assert why(lot) == [Mends.FAILED]


class TestTakingTheAnswerBack:
    def test_the_book_asks_again_and_what_was_entered_stays(self):
        lot, other = make.filled("F1"), make.filled("F2")
        restore()
        said = answer(since=[Since("held", other, day(3), "a rash")])
        make.sale(lot, on=day(6))
        undo_deed(undone=said.deed, **act(7, reason="asked too few"))
        assert why(lot, number=7) == [Mends.RESTORED]
        assert status_on(other, day(7)) == "held"
        answer(number=7)
        assert why(lot, number=7) == []

    def test_a_maker_does_not(self):
        restore()
        said = answer()
        with make.refused("written by an owner"):
            undo_deed(undone=said.deed, **act(7, reason="why not", by=make.maker()))

    def test_its_codes_are_remembered(self):
        restore()
        true = code(3)
        said = answer(codes=[code(9)])
        undo_deed(undone=said.deed, **act(7, reason="asked too few"))
        answer(number=7)
        with asked("given out after the backup"):
            make.lot(true)


class TestTheAudit:
    def fit(self):
        return next(one for one in audit() if one.law.startswith("Nothing alkaline"))

    def test_what_was_sold_before_and_after_is_no_fault(self):
        lot = make.filled("F1")
        make.sale(lot, "2")
        restore()
        assert (self.fit().faults, self.fit().apart) == ([], [])
        answer()
        make.sale(lot, "3", on=day(6))
        assert (self.fit().faults, self.fit().apart) == ([], [])

    def test_the_answer_taken_back_blames_nobody_who_sold_on_it(self):
        lot = make.filled("F1")
        restore()
        said = answer()
        make.sale(lot, "3", on=day(6))
        undo_deed(undone=said.deed, **act(7, reason="asked too few"))
        assert (self.fit().faults, self.fit().apart) == ([], [])

    def test_what_slipped_out_before_the_answer_is_a_fault(self, monkeypatch):
        lot = make.filled("F1")
        restore()
        with monkeypatch.context() as patch:
            patch.setattr(
                "production.selling.actions.sales.may_go", lambda *a, **k: None
            )
            make.sale(lot, "1", on=day(6), number="S-1")
        answer()
        [fault] = self.fit().faults
        assert "restored from a backup" in fault
        assert [row.then[0].mends for row in leavings([lot.pk])] == [Mends.RESTORED]

    def test_ink_is_guarded(self):
        restore()
        answer()
        assert [one.faults for one in audit() if one.faults] == []


class TestTheHistoryFile:
    def moved(self):
        return {"format": "kettlebook-history", "version": 1, "currency": "USD"}

    def test_what_waits_goes_along_and_asks_in_the_new_book(self):
        restore()
        [event] = [e for e in history_events() if e["type"] == "restored"]
        assert "answered" not in event
        assert event["taken_at"] == "2026-03-02T14:10:00+00:00"
        import_history(text=json.dumps(self.moved() | {"events": [event]}))
        assert Restored.objects.unanswered().count() == 2

    def test_an_answer_goes_along_with_its_codes(self):
        event = {
            "type": "restored",
            "date": "2026-03-06",
            "taken_at": "2026-03-02T14:10:00+00:00",
            "restored_at": "2026-03-06T09:00:00+00:00",
            "answered": {"date": "2026-03-06", "codes": f"{code(9)}\nS-7"},
        }
        true = code(3)
        import_history(text=json.dumps(self.moved() | {"events": [event]}))
        assert waiting_restore() is None
        assert history_events()[-1] == event
        with asked("given out after the backup"):
            make.lot(true)

    SOLD = {
        "type": "sale",
        "number": "S-40",
        "customer": None,
        "channel": "stall",
        "lines": [{"lot": "OLD", "amount": "1", "unit_price": "9"}],
    }
    GIVEN = {"type": "given", "lot": "OLD", "amount": "1"}
    GIFT = {**GIVEN, "why": "gift", "recipient": "Oda"}
    KEPT = {**GIVEN, "why": "sample", "recipient": "Oda"}

    def came(self):
        """A lot of soap that came in with a past, in a book that was restored then."""
        came = {
            "type": "opening",
            "date": "2026-03-01",
            "item": "diluted soap",
            "kind": "made",
            "lot": "OLD",
            "amount": "900",
            "unit": "g",
            "value": "9",
            "status": "released",
        }
        make.item("diluted soap", kind="made")
        self.take(came)
        restore()

    def take(self, event):
        import_history(text=json.dumps(self.moved() | {"events": [event]}))

    @pytest.mark.parametrize("event", [SOLD, GIFT, KEPT])
    def test_no_file_lets_out_what_waits_for_the_owner(self, event):
        self.came()
        for on in ("2026-03-02", "2026-03-05"):
            with pytest.raises(Refused, match="restored from a backup"):
                self.take({**event, "date": on})
        answer()
        self.take({**event, "date": "2026-03-05"})

    @pytest.mark.parametrize("event", [SOLD, GIFT, KEPT])
    def test_what_left_before_the_backup_is_a_true_past(self, event):
        self.came()
        self.take({**event, "date": "2026-03-01"})

    @pytest.mark.parametrize("codes", ["", "none", "S-7"])
    def test_no_file_answers_for_what_was_restored_here(self, codes):
        mine = restore()
        event = {
            "type": "restored",
            "date": "2026-03-06",
            "taken_at": "2026-03-02T14:10:00+00:00",
            "restored_at": "2026-03-06T09:00:00+00:00",
            "answered": {"date": "2026-03-06", "codes": codes},
        }
        import_history(text=json.dumps(self.moved() | {"events": [event]}))
        assert list(Restored.objects.unanswered()) == [mine]

    def test_a_moment_without_its_zone_is_refused(self):
        event = {"type": "restored", "date": "2026-03-06", "taken_at": "Monday"}
        with pytest.raises(Refused, match=r"'taken_at' is a moment like"):
            import_history(text=json.dumps(self.moved() | {"events": [event]}))


class TestThePages:
    def form(self, desk, **typed):
        page = desk.get(reverse("restored"))
        rows = {"since-TOTAL_FORMS": "4", "since-INITIAL_FORMS": "0"}
        return {
            "key": page.context["form"]["key"].value(),
            "on": "2026-03-06",
            **rows,
            **typed,
        }

    def send(self, desk, **typed):
        return desk.post(reverse("restored"), self.form(desk, **typed))

    def test_the_start_page_asks_first_of_all(self, desk):
        make.filled("F1")
        assert "as of" not in desk.get(reverse("start")).content.decode()
        restore()
        page = desk.get(reverse("start")).content.decode()
        assert "This book stands as of 2026-03-02 at 14:10" in page
        assert f'href="{reverse("restored")}">Say what happened since' in page
        answer()
        assert "as of" not in desk.get(reverse("start")).content.decode()

    def test_a_maker_sees_the_sentence_and_no_form(self, client):
        make.filled("F1")
        restore()
        client.force_login(make.maker())
        page = client.get(reverse("restored")).content.decode()
        assert "Only an owner answers" in page
        assert "no_codes" not in page
        start = client.get(reverse("start")).content.decode()
        assert "nothing with alkali or soap in it is sold" in start

    def test_nothing_is_preset_and_silence_is_no_answer(self, desk):
        restore()
        page = desk.get(reverse("restored")).content.decode()
        assert not re.search(r"<input[^>]* checked|<option[^>]*selected>\w+ ", page)
        answered = self.send(desk)
        assert answered.status_code == 200
        words = answered.content.decode()
        assert "Write each code that you find, or tick that there is none." in words
        assert "tick that there is nothing else" in words
        assert not SinceBackup.objects.exists()

    def test_none_and_nothing_else(self, desk):
        restore()
        assert self.send(desk, no_codes="on", none_else="on").status_code == 302
        assert SinceBackup.objects.get().deed.by == make.owner()

    def test_codes_and_a_tick_that_there_is_none_contradict(self, desk):
        restore()
        answered = self.send(desk, codes="TIDE 8OZ 1", no_codes="on", none_else="on")
        assert "which is it?" in answered.content.decode()

    def test_codes_rows_and_all(self, desk):
        lot = make.filled("F1")
        restore()
        highest = code(9)
        rows = {
            "since-0-of": "f1",
            "since-0-what": "failed",
            "since-0-day": "2026-03-04",
            "since-0-words": "pink",
        }
        codes = f"{highest.lower()}\nS-4, TIDE 8OZ 7"
        typed = {"codes": codes, "confirmed": "on", "none_else": "on", **rows}
        assert self.send(desk, **typed).status_code == 302
        said = SinceBackup.objects.get()
        assert said.codes.splitlines() == [highest, "S-4", "TIDE 8OZ 7"]
        assert why(lot) == [Mends.FAILED]
        assert highest in desk.get(reverse("restored")).content.decode()

    def test_half_a_row_is_asked_for(self, desk):
        make.filled("F1")
        restore()
        rows = {"since-0-of": "F1", "since-0-what": "held"}
        words = self.send(desk, no_codes="on", none_else="on", **rows).content.decode()
        assert "Write the day on which it happened." in words
        assert "Write why it was held." in words

    def test_a_misread_code_is_confirmed_by_a_tick(self, desk):
        restore()
        typed = self.form(desk, codes="H5GX-V", none_else="on")
        words = desk.post(reverse("restored"), typed).content.decode()
        assert "does not fit" in words
        assert 'type="checkbox" name="confirmed"' in words
        answered = desk.post(reverse("restored"), {**typed, "confirmed": "on"})
        assert answered.status_code == 302

    def test_a_code_found_later_is_added_on_the_page(self, desk):
        restore()
        self.send(desk, no_codes="on", none_else="on")
        page = desk.get(reverse("restored")).content.decode()
        assert "Add these codes" in page
        assert "none_else" not in page
        empty = self.form(desk, codes="")
        assert desk.post(reverse("restored"), empty).status_code == 200
        typed = self.form(desk, codes="S-9")
        for _ in range(2):
            assert desk.post(reverse("restored"), typed).status_code == 302
        assert CodeSeries.objects.get(name="sale").last == 9
        assert SinceBackup.objects.count() == 2

    def test_a_double_click_is_one_answer(self, desk):
        restore()
        typed = self.form(desk, no_codes="on", none_else="on")
        for _ in range(2):
            assert desk.post(reverse("restored"), typed).status_code == 302
        assert SinceBackup.objects.count() == 1

    def test_a_code_in_the_gap_is_ticked_on_any_page(self, desk):
        restore()
        true = code(3)
        answer(codes=[code(9)])
        url = reverse("batch-start")
        form = desk.get(url).context["form"]
        typed = {"key": form["key"].value(), "on": "2026-03-03", "stage": "cook"}
        typed["code"] = f"B-{true}"
        words = desk.post(url, typed).content.decode()
        assert "was given out after the backup" in words
        assert 'type="checkbox" name="again"' in words
        assert desk.post(url, {**typed, "again": "on"}).status_code == 302
        assert Batch.objects.get(code=f"B-{true}")

    def test_the_pages_of_the_lot_and_of_the_trace_say_so(self, desk):
        make.filled("F1")
        restore()
        page = desk.get(reverse("lot", args=["F1"])).content.decode()
        assert "restored from a backup" in page
        assert f'href="{reverse("restored")}"' in page
        page = desk.get(f"{reverse('trace')}?lot=F1").content.decode()
        assert "stands as it was on 2026-03-02 at 14:10" in page

    def test_the_history_leads_to_it(self, desk):
        restore()
        answer()
        page = desk.get(reverse("history")).content.decode()
        assert f'<a href="{reverse("restored")}">backup of 2026-03-02</a>' in page
        assert Deed.objects.filter(verb="say what happened since a backup").exists()

    def test_a_book_never_restored_has_nothing_to_say(self, desk):
        page = desk.get(reverse("restored")).content.decode()
        assert "never restored" in page
        assert self_has_no_form(page)
        assert not Sale.objects.exists()

    def test_the_page_asks_the_same_however_much_is_here(
        self, desk, django_assert_max_num_queries
    ):
        def asked():
            with django_assert_max_num_queries(80) as counted:
                desk.get(reverse("restored"))
            return len(counted)

        make.filled("F1")
        restore()
        before = asked()
        with written_again():
            for number in range(3):
                soap_of(f"P{number}")
        assert asked() == before


def self_has_no_form(page):
    return 'id="write"' not in page
