"""What is done with one lot."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.models import Deed, Given, Lot, Measurement, Status
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.production.writing import check, fill, holds, look_then_write, typed

DAY = "2026-03-02"


def page(name, code="L1"):
    return reverse(name, args=[code])


def on_hand(code="L1"):
    return Lot.objects.with_on_hand().get(code=code).on_hand


def status(code="L1"):
    return Lot.objects.with_status().get(code=code).status


@pytest.fixture
def lot(owner):
    return make.lot("L1")


def paste(status="quarantine"):
    oil = make.lot()
    return make.batch(
        "cook", uses=[(oil, "500")], makes="paste", code="L1", status=status
    )


def test_release_a_lot(desk):
    paste()
    url = page("lot-release")
    sent = typed(desk.get(url)) | {"on": DAY}
    assert "No neutrality check of L1" in desk.post(url, sent).content.decode()
    check(desk, page("lot-measure"), on=DAY)
    holds(desk, url, {"on": DAY}, {"on": "yesterday"}, "Write a day like")
    assert status() == "released"


def test_the_page_of_a_lot_says_what_comes_next(desk):
    paste()
    assert "Note the check" in desk.get(page("lot")).content.decode()
    check(desk, page("lot-measure"), passed="no", on=DAY)
    assert "failed on" in desk.get(page("lot")).content.decode()
    check(desk, page("lot-measure"), on=DAY)
    assert "Release it" in desk.get(page("lot")).content.decode()
    fill(desk, page("lot-release"), on=DAY)
    assert "Dilute some of it" in desk.get(page("lot")).content.decode()


def test_hold_a_lot(desk, lot):
    good = {"reason": "cloudy", "on": DAY}
    holds(desk, page("lot-hold"), good, {"reason": ""}, "required")
    assert status() == "held"


def test_reject_a_lot(desk, lot):
    good = {"reason": "rancid", "on": DAY}
    holds(desk, page("lot-reject"), good, {"reason": ""}, "required")
    assert status() == "rejected"
    assert not Status.objects.filter(status="held").exists()


def test_count_a_lot(desk, lot):
    good = {"found": "980 g", "reason": "spilt", "seen": "1000>980"}
    holds(desk, page("lot-count"), good, {"found": "?"}, "not an amount")
    assert on_hand() == 980


def test_a_count_of_nothing_empties_the_lot(desk, lot):
    look_then_write(desk, page("lot-count"), found="0", reason="all gone")
    assert on_hand() == 0


def test_reweigh_a_lot(desk):
    make.koh(code="L1", grams="9000", purity="0.899")
    good = {"found": "9410 g", "on": DAY}
    holds(desk, page("lot-reweigh"), good, {"found": "9 kg"}, "Nothing to restate")
    restated = Measurement.objects.filter(what="purity").latest("id")
    assert restated.value == Decimal("0.859830")


def test_give_some_away(desk, lot):
    good = {"amount": "50 g", "why": "gift", "recipient": "Bracken House Inn"}
    holds(desk, page("lot-give"), good, {"amount": "5 kg"}, "Only 1000 g")
    assert Given.objects.get().recipient == "Bracken House Inn"


def test_discard_some(desk, lot):
    good = {"amount": "50 g", "reason": "spill"}
    holds(desk, page("lot-discard"), good, {"reason": ""}, "required")
    assert on_hand() == 950


def test_move_some_and_then_say_from_where(desk, lot):
    crate = ensure_place("crate")
    good = {"amount": "400 g", "to": str(crate.pk)}
    holds(desk, page("lot-move"), good, {"to": ""}, "required")
    assert "place" in typed(desk.get(page("lot-count")))
    found = {"found": "390 g", "place": str(crate.pk), "reason": "spilt"}
    look_then_write(desk, page("lot-count"), **found)
    assert on_hand() == 990


def test_bottles_are_counted_in_pieces(desk):
    make.bottles("L1", pieces="50")
    good = {"found": "48", "reason": "two broke", "seen": "50>48"}
    holds(desk, page("lot-count"), good, {"found": "2 kg"}, "in pieces")
    assert on_hand() == 48


def test_what_was_just_done_can_be_taken_back_at_once(desk):
    make.lot("OIL-1")
    answer = fill(
        desk,
        page("lot-discard", "OIL-1"),
        amount="20 g",
        reason="spilt",
        on="2026-03-03",
    )
    shown = desk.get(answer.url).content.decode()
    deed = Deed.objects.get(verb="discard goods")
    assert reverse("deed-undo", args=[deed.pk]) in shown
