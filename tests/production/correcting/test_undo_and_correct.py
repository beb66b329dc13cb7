"""Mending the book: nothing is rubbed out, everything is taken back in the open."""

from decimal import Decimal

import pytest

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.batches.actions.working import note_work
from production.buying.actions.purchases import open_stock, price_line
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import count_lot
from production.lots.actions.lot_deeds import discard, give, move_lot, reweigh_lot
from production.models import Deed, Movement, Work
from production.selling.actions import sales as deeds
from production.stock.actions.opening_lots import NewLot
from production.stock.reads.stock import on_hand_by_place
from production.tracing.reads.trace import trace
from production.workshop.actions.cards import ensure_place
from production.yields.domain.hours_and_losses import NewWork
from production.yields.reads import batch_balance
from tests import make
from tests.make import DAY, act, day

pytestmark = pytest.mark.django_db
TEN = Decimal(10)


def undo(deed, on=2, **facts):
    return undo_deed(undone=deed, **act(on, **facts))


def take_back(movement, reason="typed twice", **facts):
    return reverse_movement(movement=movement, **act(reason=reason, **facts))


def correct(movement, amount, reason="misread", **facts):
    return correct_movement(
        movement=movement, amount=Decimal(amount), **act(9, reason=reason), **facts
    )


def entry(lot, kind):
    return Movement.objects.standing().get(lot=lot, kind=kind)


def deed(verb):
    return Deed.objects.filter(verb=verb).latest("id")


def bought(lot):
    return lot.line.purchase.deed


def priced(lot):
    price_line(line=lot.line, price=Decimal(3), **act())
    return deed("price a line")


def opened(lot):
    open_stock(item=lot.item, lot=NewLot(TEN), **act())
    return deed("open stock")


def used(lot):
    batch = start_batch(stage="cook", **act())
    return use_lots(batch=batch, uses=[Use(TEN, lot=lot)], **act())


def drawn(lot):
    water = make.item("tap water", category="water", on_tap=True)
    batch = start_batch(stage="cook", **act())
    return use_lots(batch=batch, uses=[Use(TEN, item=water)], **act())


def surplus(lot):
    batch = start_batch(stage="cook", **act())
    use = Use(Decimal(1010), lot=lot, surplus=TEN)
    return use_lots(batch=batch, uses=[use], **act())


def made(lot):
    batch = start_batch(stage="cook", **act())
    use_lots(batch=batch, uses=[Use(TEN, lot=lot)], **act())
    out = Output(TEN, item=make.item("paste", kind="made"))
    return make_lot(batch=batch, output=out, **act()).deed


def run(lot):
    return make.batch("preparation", uses=[(lot, "10")]).deed


def sold(lot):
    return make.sale(lot).deed


def returned(lot):
    row = make.sale(lot, "3").lines.get()
    return deeds.take_back(line=row, amount=TEN / 5, then="restock", **act()).deed


def destroyed(lot):
    row = make.sale(lot, "3").lines.get()
    return deeds.take_back(line=row, amount=TEN / 5, then="destroy", **act()).deed


def given(lot):
    return give(lot=lot, amount=TEN, why="gift", **act()).deed


def counted(lot):
    return count_lot(lot=lot, found=TEN, **act(reason="a rest"))


def reweighed(lot):
    return reweigh_lot(lot=lot, found=Decimal(900), **act())


def discarded(lot):
    return discard(lot=lot, amount=TEN, **act(reason="spill"))


def moved(lot):
    crate = ensure_place("crate")
    return move_lot(lot=lot, amount=TEN, to=crate, **act())


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


class TestCorrect:
    def test_it_is_reverse_and_enter_anew_in_one_deed(self):
        lot = make.lot()
        soap = make.batch(uses=[(lot, "300")])
        mended = correct(entry(lot, "used"), "310")
        rows = Movement.objects.filter(deed=mended).order_by("id")
        assert [(row.kind, row.amount, row.on) for row in rows] == [
            ("reversed", 300, DAY),
            ("used", -310, DAY),
        ]
        assert make.on_hand(lot) == 690
        assert batch_balance(soap.batch).used == 310

    def test_it_is_judged_on_the_net(self):
        lot = make.lot()
        make.batch(uses=[(lot, "900")], on=day(6))
        correct(entry(lot, "received"), "900")
        assert make.on_hand(lot) == 0

    def test_it_refuses_a_net_that_falls_short_and_names_what_came_after(self):
        lot = make.lot("OIL-7")
        make.batch(uses=[(lot, "900")], on=day(6))
        one = entry(lot, "received")
        with make.refused("OIL-7 would be 1 g short", "used 900", "came after"):
            correct(one, "899")

    def test_it_keeps_its_place_in_the_order_of_its_day(self):
        lot = make.lot()
        used(lot)
        correct(entry(lot, "received"), "1200")
        correct(entry(lot, "received"), "1300")
        order = Movement.objects.standing().filter(lot=lot).in_book_order()
        assert [(row.kind, row.amount) for row in order] == [
            ("received", 1300),
            ("used", -10),
        ]

    def test_it_keeps_place_batch_and_value(self):
        crate = ensure_place("crate")
        lot = open_stock(
            item=make.item(),
            lot=NewLot(TEN),
            value=Decimal(4),
            place=crate,
            **act(),
        )
        correct(entry(lot, "opening"), "12")
        row = entry(lot, "opening")
        assert (row.amount, row.place, row.value) == (12, crate, 4)

    def test_it_may_be_corrected_again(self):
        lot = make.lot()
        make.batch(uses=[(lot, "300")], amount="290")
        correct(entry(lot, "used"), "310")
        correct(entry(lot, "used"), "290")
        assert make.on_hand(lot) == 710

    def test_the_first_entry_is_not_corrected_twice(self):
        lot = make.lot()
        make.batch(uses=[(lot, "300")])
        first = entry(lot, "used")
        correct(first, "310")
        with make.refused("was already taken back"):
            correct(first, "290")

    def test_it_may_move_an_entry_to_its_right_day(self):
        lot = make.lot(on=day(9))
        correct(entry(lot, "received"), "1000", moved_to=day(4))
        assert entry(lot, "received").on == day(4)
        correct(entry(lot, "received"), "1000", moved_to=day(6))
        assert entry(lot, "received").on == day(6)

    def test_an_arrival_does_not_move_behind_its_use(self):
        lot = make.lot()
        make.batch(uses=[(lot, "900")], on=day(6))
        one = entry(lot, "received")
        with make.refused("used 900", "came after"):
            correct(one, "1000", moved_to=day(7))

    def test_a_batch_uses_nothing_after_it_was_done(self):
        lot = make.lot()
        soap = make.batch(uses=[(lot, "300")], on=day(6))
        one, done = entry(lot, "used"), entry(soap, "made")
        with make.refused("after it was done", "Correct both dates"):
            correct(one, "300", moved_to=day(7))
        with make.refused("after it was done"):
            correct(done, "300", moved_to=day(5))

    @pytest.mark.parametrize("act_of", [moved, counted, reweighed, returned, sold])
    def test_deeds_with_papers_or_two_halves_are_done_again_instead(self, act_of):
        wrote = act_of(make.lot())
        one = Movement.objects.filter(deed=wrote).first()
        with make.refused("Take", "again"):
            correct(one, "5")

    @pytest.mark.parametrize("amount", ["0", "-300"])
    def test_it_refuses_an_amount_that_is_not_above_zero(self, amount):
        lot = make.lot()
        make.batch(uses=[(lot, "300")])
        one = entry(lot, "used")
        with make.refused("above zero", "take the entry back"):
            correct(one, amount)

    def test_it_needs_a_reason(self):
        one = entry(make.lot(), "received")
        with make.refused("Write the reason for the correction"):
            correct(one, "5", reason=" ")

    def test_the_same_key_corrects_once(self):
        make.sent_twice(
            correct_movement,
            movement=entry(make.lot(), "received"),
            amount=TEN,
            **act(reason="misread"),
        )


class TestTapWater:
    """Nobody keeps it: what was drawn follows what was used, up, down and back."""

    def use(self):
        tap = make.item(
            "tap water", category="water", on_tap=True, tap_price=Decimal("2.00")
        )
        batch = start_batch(stage="cook", **act())
        use_lots(batch=batch, uses=[Use(Decimal(500), item=tap)], **act())
        return tap.lots.get()

    @pytest.mark.parametrize(("grams", "value"), [("250", "0.5"), ("750", "1.5")])
    def test_a_use_that_is_corrected(self, grams, value):
        lot = self.use()
        correct(entry(lot, "used"), grams)
        assert make.on_hand(lot) == 0
        drawn = entry(lot, "received")
        assert (drawn.amount, drawn.value) == (Decimal(grams), Decimal(value))
        undo(deed("correct an entry"), on=9, reason="it was right")
        assert make.on_hand(lot) == 0
        assert entry(lot, "received").amount == 500

    def test_a_use_that_is_taken_back(self):
        lot = self.use()
        take_back(entry(lot, "used"))
        assert make.on_hand(lot) == 0
        assert not Movement.objects.standing().filter(lot=lot).exists()
