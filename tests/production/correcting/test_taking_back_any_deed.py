"""Whatever a maker wrote by mistake is taken back, and the book is as without it.

Each deed is written into a stocked workshop and taken back; what a maker would say of
the workshop (``tests.picture``) is then what it was. Checks and holds that stand in
the way are named.
"""

from copy import deepcopy
from datetime import UTC, datetime
from decimal import Decimal as D

import pytest

from production.batches.actions.batches import make_lot
from production.correcting.actions.entries import correct_movement
from production.models import Deed, Lot, Measurement
from production.record.actions.deeds import DEEDS, STAYS
from production.release.actions.statuses import hold_lot
from production.release.actions.taking_back import take_back_check
from production.restoring.actions import note_restored
from production.selling.actions.sales import take_back
from tests import make
from tests.make import act
from tests.once import built_once
from tests.picture import picture
from tests.production.correcting.stocked_shelf import (
    ACTS,
    Shelf,
    empties_back,
    held,
    made_of,
    spilt,
    undo,
)

pytestmark = pytest.mark.django_db


def came_back(shelf):
    line = shelf.sold.lines.get()
    take_back(line=line, amount=D(2), then="apart", **act(4))


def from_a_backup(shelf):
    moment = datetime(2026, 3, 5, tzinfo=UTC)
    note_restored(taken_at=moment, restored_at=moment)


def odd_code(shelf):
    """As an earlier book let it in."""
    Lot.objects.filter(pk=shelf.keeps.pk).update(code="KEEPS/1")


def sent_back(shelf):
    ACTS["send goods back"](shelf)


# What must have been done before.
AFTER = {
    "say what happened since a backup": from_a_backup,
    "give a proper code": odd_code,
    "release a lot": held,
    "approve a label's text": held,
    "call a loss otherwise": spilt,
    "look at a return": came_back,
    "note a credit": sent_back,
    "wash and look at empties": empties_back,
}


def test_every_deed_is_taken_back_or_says_why_it_stays():
    assert set(ACTS) | set(STAYS) >= set(DEEDS)
    assert not set(ACTS) & set(STAYS)


# What they write is shown on a page and changes nothing that is told here.
SILENT = {
    "set a price",
    "set a target margin",
    "say what an hour costs",
    "say what power costs",
    "budget the overhead",
    "state what overhead came to",
    "start a batch",
    "attach a file",
    "note a fragrance document",
    "accept a trial",
    "record a hold",
    "note an assessment",
    "decide the kind of product",
    "approve a label's text",
}


stocked = built_once(Shelf)


class TestTakenBack:
    @pytest.fixture
    def shelf(self, stocked, db):
        return deepcopy(stocked)

    @pytest.mark.parametrize("verb", sorted(ACTS))
    def test_taken_back_the_book_is_as_without_it(self, shelf, verb):
        if verb in AFTER:
            AFTER[verb](shelf)
        before = picture()
        ACTS[verb](shelf)
        deed = Deed.objects.filter(verb=verb).latest("id")
        during = picture()
        undo(deed)
        assert picture() == before
        if verb not in SILENT:
            assert during != before


@pytest.mark.parametrize("verb", sorted(STAYS))
def test_what_stays_says_what_to_do_instead(verb):
    assert STAYS[verb].endswith(".")
    assert len(STAYS[verb]) > 20


class TestChecksAndHoldsOnTheWay:
    def cooked(self):
        oil = make.lot("OIL-2", item=make.item("rapeseed oil", category="oil"))
        uses = [(oil, "300"), (make.koh(), "30")]
        return make.batch("cook", uses=uses, makes="paste", amount="300", code="PASTE")

    def test_a_cook_whose_check_was_taken_back_goes_as_a_whole(self):
        paste = self.cooked()
        check = Measurement.objects.get(lot=paste)
        take_back_check(measurement=check, **act(4, reason="wrong pot"))
        undo(paste.deed, along=True)
        assert not Lot.objects.in_stock().filter(code__startswith="PASTE").exists()

    def test_a_check_that_was_taken_back_keeps_its_mark(self):
        paste = self.cooked()
        check = Measurement.objects.get(lot=paste)
        take_back_check(measurement=check, **act(4, reason="wrong pot"))
        with make.refused("taken back already", "its mark stays"):
            undo(check.deed)

    def test_a_correction_taken_back_does_not_stand_in_the_way(self):
        shelf = Shelf()
        entry = shelf.entry(shelf.oil, "used")
        mended = correct_movement(
            movement=entry, amount=D(80), **act(4, reason="misread")
        )
        undo(mended)
        bought = shelf.oil.line.purchase.deed
        with make.refused("'use lots' of 2026-03-03"):
            undo(bought)
        undo(bought, along=True)
        assert make.on_hand(shelf.oil) == 0

    def test_a_lot_born_held_is_free_once_the_hold_is_taken_back(self):
        shelf = Shelf()
        hold_lot(lot=shelf.oil, **act(4, reason="the wrong drum"))
        held = Deed.objects.filter(verb="hold a lot").latest("id")
        lot = make_lot(**made_of(shelf), **act(5))
        assert lot.statuses.last().status == "held"
        undo(held)
        assert lot.statuses.last().status == "quarantine"
