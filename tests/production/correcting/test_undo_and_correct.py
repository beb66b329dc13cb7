"""Mending the book: nothing is rubbed out, everything is taken back in the open."""

from decimal import Decimal

import pytest

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.batches.actions.working import note_work
from production.correcting.actions.entries import reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.models import Movement, Work
from production.stock.reads.stock import on_hand_by_place
from production.tracing.reads.trace import trace
from production.yields.domain.hours_and_losses import NewWork
from production.yields.reads import batch_balance
from tests import make
from tests.make import DAY, act, day
from tests.production.correcting.entries_of_a_lot import (
    TEN,
    bought,
    counted,
    deed,
    destroyed,
    discarded,
    drawn,
    entry,
    given,
    made,
    moved,
    opened,
    returned,
    reweighed,
    run,
    sold,
    surplus,
    take_back,
    undo,
    used,
)

pytestmark = pytest.mark.django_db


KINDS = [
    bought,
    opened,
    used,
    drawn,
    surplus,
    made,
    run,
    sold,
    returned,
    destroyed,
    given,
    counted,
    reweighed,
    discarded,
    moved,
]


class TestUndo:
    @pytest.mark.parametrize("act_of", KINDS, ids=lambda act_of: act_of.__name__)
    def test_each_entry_of_a_deed_is_mirrored_once_on_its_own_day(self, act_of):
        wrote = act_of(make.lot())
        before = list(Movement.objects.filter(deed=wrote).order_by("-id"))
        mended = undo(wrote, 20)
        after = list(Movement.objects.filter(deed=mended).order_by("id"))
        assert [row.reverses for row in after] == before
        assert [(-row.amount, row.lot, row.place, row.on) for row in after] == [
            (row.amount, row.lot, row.place, row.on) for row in before
        ]
        assert {row.kind for row in after} == {"reversed"}
        assert mended.undoes == wrote

    @pytest.mark.parametrize("act_of", KINDS, ids=lambda act_of: act_of.__name__)
    def test_it_is_done_once_and_is_not_itself_undone(self, act_of):
        wrote = act_of(make.lot())
        mended = undo(wrote)
        with make.refused("taken back already"):
            undo(wrote)
        with make.refused("not brought back: enter it again"):
            undo(mended)

    def test_stock_stands_as_if_the_deed_had_never_been(self):
        lot = make.lot()
        moved(lot)
        before = on_hand_by_place(lot)
        for act_of in (used, sold, given, discarded, counted):
            undo(act_of(lot))
            assert on_hand_by_place(lot) == before

    def test_it_leaves_trace_and_mass(self):
        oil = make.lot()
        soap = make.batch(uses=[(oil, "300"), (make.lot(), "300")])
        extra = used(oil)
        undo(extra)
        undo(make.sale(soap, "1").deed)
        assert trace(oil).forward == [soap.code]
        assert trace(oil).customers == []
        assert batch_balance(soap.batch).used == 600

    def test_it_names_what_came_after(self):
        lot = make.lot("OIL-7")
        make.batch(uses=[(lot, "400")], on=day(6))
        with make.refused("'run a batch' of 2026-03-06", "Take these back first"):
            undo(lot.line.purchase.deed, 9)

    def test_what_came_after_is_taken_back_first(self):
        lot = make.lot()
        soap = make.batch("preparation", uses=[(lot, "400")])
        undo(soap.deed)
        undo(lot.line.purchase.deed)
        assert make.on_hand(lot) == make.on_hand(soap) == 0

    def test_a_sale_of_which_some_came_back_waits_for_its_return(self):
        back = returned(make.filled())
        sale = deed("sell")
        with make.refused("'take back' of", "Take that back first"):
            undo(sale)
        undo(back)
        undo(sale)
        assert make.on_hand(Movement.objects.first().lot) >= 0

    def test_a_finished_batch_keeps_something_that_went_in(self):
        lot = make.lot()
        made(lot)
        with make.refused("made of nothing", "Take back what it made first"):
            undo(deed("use lots"))

    def test_it_is_not_done_after_each_entry_was_taken_back(self):
        lot = make.lot()
        wrote = discarded(lot)
        take_back(entry(lot, "discarded"))
        with make.refused("Nothing of it is left"):
            undo(wrote)

    def test_the_same_key_undoes_once(self):
        wrote = sold(make.filled())
        make.sent_twice(undo_deed, undone=wrote, **act())


class TestHours:
    def hours(self):
        batch = start_batch(stage="cook", **act())
        work = [NewWork("labour", Decimal("1.5"), Decimal(18))]
        return batch, note_work(batch=batch, work=work, **act(3))

    def test_they_are_taken_back_by_hours_below_zero(self):
        batch, wrote = self.hours()
        mended = undo(wrote, 20)
        first, back = batch.work.order_by("id")
        assert (back.hours, back.rate, back.on) == (Decimal("-1.5"), 18, day(3))
        assert (back.reverses, back.deed) == (first, mended)

    def test_they_are_taken_back_once_and_for_all(self):
        _, wrote = self.hours()
        mended = undo(wrote)
        with make.refused("taken back already"):
            undo(wrote)
        with make.refused("not brought back"):
            undo(mended)
        assert Work.objects.count() == 2

    def test_they_go_with_the_making_that_they_came_with(self):
        batch = start_batch(stage="cook", **act())
        use = Use(TEN, lot=make.lot())
        use_lots(batch=batch, uses=[use], **act())
        lot = make_lot(
            batch=batch,
            output=Output(TEN, item=make.item("paste", kind="made")),
            work=[NewWork("labour", Decimal(2), Decimal(18))],
            **act(),
        )
        undo(lot.deed)
        assert sum(work.hours for work in batch.work.all()) == 0


class TestTakeBackOneEntry:
    def test_it_mirrors_the_entry_in_full_on_its_own_day(self):
        lot = make.lot()
        discarded(lot)
        one = entry(lot, "discarded")
        take_back(one)
        row = Movement.objects.get(reverses=one)
        assert (row.kind, row.amount, row.on, row.lot) == ("reversed", 10, DAY, lot)
        assert make.on_hand(lot) == 1000

    def test_it_needs_a_reason(self):
        lot = make.lot()
        discarded(lot)
        one = entry(lot, "discarded")
        with make.refused("Write the reason for taking the entry back"):
            take_back(one, "")

    def test_it_is_done_once(self):
        lot = make.lot()
        discarded(lot)
        one = entry(lot, "discarded")
        take_back(one)
        with make.refused("was already taken back"):
            take_back(one)

    def test_a_reversal_is_not_itself_reversed(self):
        lot = make.lot()
        discarded(lot)
        one = entry(lot, "discarded")
        take_back(one)
        back = Movement.objects.get(reverses=one)
        with make.refused("A correction is not itself taken back"):
            take_back(back)

    def test_it_names_what_came_after(self):
        lot = make.lot()
        make.batch(uses=[(lot, "400")], on=day(6))
        one = entry(lot, "received")
        with make.refused("400 g short", "used 400", "came after"):
            take_back(one)

    @pytest.mark.parametrize("act_of", [moved, destroyed])
    def test_one_half_of_a_deed_is_not_taken_back_alone(self, act_of):
        wrote = act_of(make.lot())
        for half in Movement.objects.filter(deed=wrote):
            with make.refused(
                "one half of what was written together", "Take it back as a whole"
            ):
                take_back(half)

    def test_one_of_two_lots_is_taken_out_of_a_batch(self):
        oil, salt = make.lot(), make.lot()
        soap = make.batch(uses=[(oil, "300"), (salt, "30")], amount="300")
        take_back(entry(salt, "used"))
        assert trace(soap).back == [oil.code]
        with make.refused("made of nothing"):
            take_back(entry(oil, "used"))

    def test_the_same_key_takes_it_back_once(self):
        lot = make.lot()
        discarded(lot)
        make.sent_twice(
            reverse_movement,
            movement=entry(lot, "discarded"),
            **act(reason="typed twice"),
        )
