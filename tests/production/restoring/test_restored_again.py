"""What follows a restore: another one, an answer taken back, the audit, the file."""

import json
from datetime import UTC, date, datetime

import pytest
from django.contrib.auth import get_user_model

from config.audit import audit
from production.closing.actions import close_book
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.fitness.domain.reasons import Mends
from production.fitness.reads.restored import waiting_restore
from production.fitness.reads.what_left import leavings
from production.models import (
    Restored,
)
from production.quantities.domain.refusal import Refused
from production.restoring.actions import Since
from production.stock.reads.stock import status_on
from tests import make
from tests.make import act, day
from tests.production.restoring.restored_book import (
    FRIDAY,
    answer,
    asked,
    code,
    restore,
    why,
)

pytestmark = pytest.mark.django_db


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
