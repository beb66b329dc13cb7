"""A correction taken back, and deeds on which later ones rest.

The refusal names what rests on a deed; it goes once they are gone, or along with them.
"""

from decimal import Decimal as D

import pytest

from production.batches.actions.batches import start_batch
from production.batches.actions.days import craft_day
from production.batches.actions.new_batch import NewBatch
from production.correcting.actions.entries import correct_movement
from production.correcting.actions.undoing import undo_deed
from production.correcting.reads.later_deeds import resting_on
from production.lots.actions.lot_deeds import give
from production.models import Batch, Deed, Lot, Measurement, Movement
from production.release.actions.statuses import hold_lot, release_lot
from tests import make
from tests.make import act, day
from tests.picture import picture
from tests.production.correcting.stocked_shelf import (
    ACTS,
    Shelf,
    dilution,
    finishing,
    held,
    undo,
)

pytestmark = pytest.mark.django_db


class TestACorrection:
    """500 g typed for 480: corrected, and the correction taken back again."""

    def used(self):
        lot = make.lot("OIL-1")
        soap = make.batch("preparation", uses=[(lot, "500")], amount="400")
        return lot, soap

    def correct(self, lot, amount, kind="used", on=4):
        entry = Movement.objects.standing().get(lot=lot, kind=kind)
        return correct_movement(
            movement=entry, amount=D(amount), **act(on, reason="misread")
        )

    def test_taken_back_the_goods_are_what_they_were(self):
        lot, _ = self.used()
        before = picture()
        undo(self.correct(lot, "480"))
        assert picture() == before
        assert make.on_hand(lot) == 500

    def test_of_an_arrival_too(self):
        lot, _ = self.used()
        before = picture()
        undo(self.correct(lot, "900", kind="received"))
        assert picture() == before

    def test_the_second_one_taken_back_leaves_the_first(self):
        lot, _ = self.used()
        self.correct(lot, "480")
        before = picture()
        undo(self.correct(lot, "470", on=5))
        assert picture() == before
        assert make.on_hand(lot) == 520

    def test_the_first_one_waits_for_the_second(self):
        lot, _ = self.used()
        before = picture()
        first = self.correct(lot, "480")
        second = self.correct(lot, "470", on=5)
        with make.refused("'correct an entry' of 2026-03-05", "Take that back first"):
            undo(first)
        undo(second)
        undo(first)
        assert picture() == before

    def test_the_first_deed_is_taken_back_with_its_corrections(self):
        lot, soap = self.used()
        first = self.correct(lot, "480")
        undo(soap.deed)
        assert make.on_hand(lot) == 1000
        with make.refused("taken back already"):
            undo(first)

    def test_who_has_a_gift_is_known_after_its_amount_was_put_right(self):
        shelf = Shelf()
        gift = give(
            lot=shelf.filled, amount=D(2), why="gift", recipient="Oda", **act(4)
        )
        self.correct(shelf.filled, "1", kind="given")
        assert ("FILL-1", "Oda", -1, day(4)) in picture()["who"]
        undo(gift.deed)
        assert not [row for row in picture()["who"] if row[1] == "Oda"]

    def test_a_day_put_right_and_back_again(self):
        lot = make.lot("OIL-2", on=day(9))
        before = picture()
        entry = Movement.objects.get(lot=lot)
        mended = correct_movement(
            movement=entry, amount=D(1000), moved_to=day(4), **act(10, reason="late")
        )
        assert picture()["words"] == before["words"]
        undo(mended)
        assert picture() == before

    def test_an_entry_taken_back_by_mistake_comes_again(self):
        shelf = Shelf()
        before = picture()
        deed = ACTS["take back an entry"](shelf) or Deed.objects.latest("id")
        undo(deed)
        assert picture() == before


class TestWhatRestsOnIt:
    def test_is_named_and_gone_newest_first_it_is_free(self):
        shelf = Shelf()
        bought = shelf.oil.line.purchase.deed
        with make.refused("'use lots' of 2026-03-03", "Take that back first"):
            undo(bought)
        for one in resting_on(bought):
            undo(one)
        undo(bought)
        assert make.on_hand(shelf.oil) == 0

    def test_goes_with_it_where_the_maker_says_so(self):
        make.lot("OTHER")
        before = picture()
        lot = make.lot("OIL-2")
        soap = make.batch("cook", uses=[(lot, "300"), (make.koh(), "30")], amount="300")
        undo(soap.deed, along=True)
        undo(Lot.objects.get(code="K1").line.purchase.deed)
        undo(lot.line.purchase.deed)
        assert picture() == before

    def test_a_release_stays_while_goods_are_gone_on_its_word(self):
        shelf = Shelf()
        held(shelf)
        release_lot(lot=shelf.filled, **act(5, reason="fine"))
        make.sale(shelf.filled, "1", on=day(6))
        with make.refused("'sell' of 2026-03-06"):
            undo(Deed.objects.filter(verb="release a lot").latest("id"))

    def test_a_failed_check_goes_with_its_day_by_an_owner_alone(self):
        shelf = Shelf()
        new = finishing(shelf)
        failed = NewBatch(
            stage="finishing",
            uses=new.uses,
            output=new.output,
            readings=(make.check(passed=False),),
        )
        maker = make.maker()
        day_of = craft_day(
            dilution=dilution(shelf), finishing=failed, **act(4, by=maker)
        )
        with make.refused("Only an owner may take back a failed check"):
            undo_deed(undone=day_of, **act(5, by=maker, reason="again"))
        undo(day_of)
        assert not Measurement.objects.filter(passed=False).exists()

    def test_a_hold_is_not_taken_back_by_a_maker(self):
        shelf = Shelf()
        maker = make.maker()
        hold_lot(lot=shelf.filled, **act(4, by=maker, reason="a leak"))
        deed = Deed.objects.filter(verb="hold a lot").latest("id")
        with make.refused("Only an owner may take back a hold"):
            undo_deed(undone=deed, **act(5, by=maker, reason="no leak"))

    def test_a_batch_that_was_only_opened_is_gone_from_the_start_page(self):
        batch = start_batch(stage="cook", **act())
        undo(batch.deed)
        assert Batch.objects.filter(pk=batch.pk).exists()
