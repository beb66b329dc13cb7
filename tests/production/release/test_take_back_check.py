"""A check that was noted by mistake is taken back in the open; lots are invented."""

from decimal import Decimal as D
from html import unescape

import pytest
from django.urls import reverse

from production.correcting.actions.undoing import undo_deed
from production.exchange.reads import history_events
from production.models import CheckTakenBack, Lot, Measurement
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import release_lot
from production.release.actions.taking_back import take_back_check
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.make import act
from tests.once import remembered
from tests.production.testing import last_verdict
from tests.production.writing import holds, typed

pytestmark = pytest.mark.django_db


@pytest.fixture
@remembered
def paste():
    return make.cook(version=make.version(release="check"), code="P1")


def note(lot, passed=True, *, number=3, by=None, **facts):
    reading = Reading("neutrality", passed=passed, **facts)
    note_measurement(lot=lot, readings=[reading], **act(number, by))
    return Measurement.objects.latest("pk")


def back(check, *, number=4, by=None, reason="wrong jar", **facts):
    return take_back_check(measurement=check, **act(number, by, reason=reason, **facts))


def status(lot):
    return Lot.objects.with_status().get(pk=lot.pk).status


class TestAPass:
    def test_what_it_released_goes_back_into_quarantine(self, paste):
        check = note(paste)
        assert status(paste) == "released"
        back(check)
        assert status(paste) == "quarantine"
        assert last_verdict(paste) is None
        with make.refused("No neutrality check"):
            release_lot(lot=paste, **act(5))

    def test_also_what_was_released_by_hand_on_its_strength(self):
        lot = make.cook(code="P2")
        check = note(lot)
        release_lot(lot=lot, **act(3))
        back(check)
        assert status(lot) == "quarantine"

    def test_another_pass_keeps_what_a_hand_released(self):
        lot = make.cook(code="P2")
        note(lot)
        check = note(lot)
        release_lot(lot=lot, **act(3))
        back(check)
        assert status(lot) == "released"
        assert last_verdict(lot) is True

    def test_a_failure_before_it_counts_again(self, paste):
        note(paste, passed=False)
        check = note(paste)
        back(check)
        assert last_verdict(paste) is False

    def test_a_maker_takes_back_what_makers_noted_and_no_more(self, paste):
        tobias = make.maker()
        owners = note(paste)
        with make.refused("Only an owner may take back a check that ines noted"):
            back(owners, by=tobias)
        makers = note(make.cook(code="P3"), by=tobias)
        back(makers, by=tobias)

    def test_a_titration_as_well(self, paste):
        reading = Reading("free alkali", D("0.0002"))
        note_measurement(lot=paste, readings=[reading], **act(3))
        assert status(paste) == "released"
        back(Measurement.objects.latest("pk"))
        assert status(paste) == "quarantine"


class TestAFailure:
    def test_is_an_owners_deed_with_a_reason(self, paste):
        check = note(paste, passed=False)
        tobias = make.maker()
        with make.refused("Only an owner may take back a failed check"):
            back(check, by=tobias)
        with make.refused("Write the reason"):
            back(check, reason=" ")
        back(check)

    def test_the_lot_waits_and_no_earlier_pass_is_revived(self, paste):
        note(paste)
        failed = note(paste, passed=False)
        back(failed)
        assert last_verdict(paste) == "waits"
        note(paste, number=5)
        assert last_verdict(paste) is True

    def test_the_lot_whose_failure_it_was_carries_it(self, paste):
        other = make.cook(code="P9")
        note(other)
        failed = note(paste, passed=False, note="pink at the wall")
        row = back(failed, belongs_to=other)
        assert row.belongs_to == other
        assert last_verdict(other) is False
        carried = other.measurements.latest("pk")
        assert (carried.passed, carried.on) == (False, failed.on)
        assert carried.note == "pink at the wall; first noted of P1"

    def test_it_is_handed_to_a_lot_that_was_there(self, paste):
        failed = note(paste, passed=False)
        with make.refused("stands on P1 already"):
            back(failed, belongs_to=paste)
        later = make.cook(code="P9", on=make.day(9))
        with make.refused("P9 was not in the book on 2026-03-03"):
            back(failed, number=9, belongs_to=later)


class TestOnce:
    @pytest.mark.parametrize("passed", [True, False])
    def test_it_is_not_taken_back_twice(self, paste, passed):
        check = note(paste, passed=passed)
        back(check)
        with make.refused("taken back already"):
            back(Measurement.objects.get(pk=check.pk))

    def test_a_pass_is_not_handed_on_and_a_reading_is_no_check(self, paste):
        check = note(paste)
        other = make.cook(code="P9")
        with make.refused("A pass is not handed on"):
            back(check, belongs_to=other)
        warm = Reading("temperature", D(70))
        note_measurement(lot=paste, readings=[warm], **act(3))
        with make.refused("no check of alkali"):
            back(Measurement.objects.latest("pk"))

    def test_the_undo_of_its_deed_points_to_the_page(self, paste):
        check = note(paste)
        with make.refused("page of its own", "open P1", "Take it back"):
            undo_deed(undone=check.deed, **act(4, reason="slip"))

    def test_the_page_of_that_undo_links_there(self, desk, paste):
        check = note(paste)
        shown = desk.get(reverse("deed-undo", args=[check.deed_id]))
        assert reverse("check-take-back", args=[check.pk]) in shown.content.decode()

    def test_a_double_click_takes_back_once(self, paste):
        check = note(paste)
        make.sent_twice(take_back_check, measurement=check, **act(4, reason="slip"))
        assert CheckTakenBack.objects.count() == 1


class TestThePage:
    def test_it_says_what_it_will_do_and_leaves_its_mark(self, desk, paste):
        check = note(paste)
        url = reverse("check-take-back", args=[check.pk])
        shown = unescape(desk.get(paste.get_absolute_url()).content.decode())
        assert url in shown
        assert "P1 goes back into quarantine" in desk.get(url).content.decode()
        good = {"reason": "the wrong jar was tested", "on": "2026-03-04"}
        holds(desk, url, good, {"reason": ""}, "Write why the check")
        shown = unescape(desk.get(paste.get_absolute_url()).content.decode())
        assert "<s>passed" in shown
        assert "by ines: the wrong jar was tested" in shown
        assert url not in shown

    def test_a_failure_may_name_its_lot(self, desk, paste):
        check = note(paste, passed=False)
        make.cook(code="P9")
        url = reverse("check-take-back", args=[check.pk])
        assert "no earlier pass counts again" in desk.get(url).content.decode()
        sent = typed(desk.get(url))
        sent |= {"reason": "jars mixed up", "belongs_to": "P9", "on": "2026-03-04"}
        assert desk.post(url, sent).status_code == 302
        assert "it was of" in desk.get(paste.get_absolute_url()).content.decode()

    def test_a_pass_asks_for_no_lot(self, desk, paste):
        url = reverse("check-take-back", args=[note(paste).pk])
        assert "belongs_to" not in typed(desk.get(url))


class TestTheHistoryFile:
    def test_what_was_taken_back_comes_back_as_it_was(self, paste):
        other = make.cook(code="P9")
        first = note(paste, note="same")
        failed = note(other, passed=False, note="pink")
        note(paste, note="same")
        back(first)
        back(failed, belongs_to=paste)
        told = [row for row in history_events() if row["type"] == "check_taken_back"]
        assert [(row["lot"], row.get("belongs_to")) for row in told] == [
            ("P1", None),
            ("P9", "P1"),
        ]
        assert all(row["reason"] == "wrong jar" for row in told)
        carried = [row for row in history_events() if row.get("passed") is False]
        assert [(row["type"], row["lot"]) for row in carried] == [
            ("measurement", "P9"),
            ("measurement", "P1"),
            ("check_taken_back", "P9"),
        ]
