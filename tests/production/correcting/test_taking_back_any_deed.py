"""Whatever a maker wrote by mistake is taken back, and the book is as without it.

Each deed is written into a stocked workshop and taken back; what a maker would say of
the workshop (``tests.picture``) is then what it was. Where later deeds rest on it the
refusal names them, and it goes once they are gone, the newest first.
"""

from copy import deepcopy
from datetime import UTC, date, datetime
from decimal import Decimal as D

import pytest

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.days import craft_day, craft_scents
from production.batches.actions.losing import lose_batch, name_loss, rename_loss
from production.batches.actions.new_batch import NewBatch, Output, Use
from production.batches.actions.trials import (
    NewAddition,
    bench_trials,
    note_look,
    promote_trial,
)
from production.batches.actions.working import note_work
from production.buying.actions.arrivals import arrive_fine
from production.buying.actions.purchases import (
    add_extra_cost,
    open_stock,
    price_line,
    receive_from_tap,
)
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.putting_right.codes import give_proper_code
from production.correcting.actions.putting_right.deed import put_right
from production.correcting.actions.putting_right.expiry import extend_expiry
from production.correcting.actions.undoing import undo_deed
from production.correcting.reads.later_deeds import resting_on
from production.counting.actions import Found, count_lot, count_place
from production.fragrance.actions import note_document
from production.lots.actions.lot_deeds import discard, give, move_lot, reweigh_lot
from production.lots.actions.packs import open_pack, record_open_pack
from production.models import (
    Batch,
    Deed,
    Loss,
    Lot,
    Measurement,
    Movement,
    Restored,
    Return,
)
from production.record.actions.deeds import DEEDS, STAYS
from production.release.actions.readings import (
    note_measurement,
    note_step,
    record_measurement,
    record_step,
)
from production.release.actions.statuses import (
    hold_lot,
    record_hold,
    record_status,
    reject_lot,
    release_lot,
)
from production.release.actions.taking_back import take_back_check
from production.restoring.actions import note_restored, say_what_happened
from production.selling.actions.returns import look_at_return
from production.selling.actions.sales import take_back
from production.stock.actions.opening_lots import NewLot, Reading
from production.workshop.actions.cards import ensure_place
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from tests import make
from tests.make import act, day
from tests.once import built_once
from tests.picture import picture

pytestmark = pytest.mark.django_db


class Shelf:
    """A small workshop with one of each: bought, cooked on, filled, sold, open."""

    def __init__(self):
        self.oil = make.lot("OIL-1", item=make.item("rapeseed oil", category="oil"))
        self.scent = make.lot("SCENT-1", item=make.item("fig", category="fragrance"))
        self.keeps = make.lot("KEEPS-1", expires=day(28))
        self.tap = make.item("tap water", category="water", on_tap=True)
        self.soap = make.proven(
            "SOAP-1", grams="9000", item=make.item("diluted soap", kind="made")
        )
        self.bottles = make.bottles("BOT-1", pieces="200")
        self.filled = make.filled("FILL-1")
        self.sold = make.sale(self.filled, "4", on=day(3))
        self.crate = ensure_place("crate")
        self.open = start_batch(stage="preparation", code="OPEN", **act(3))
        uses = [Use(D(100), lot=self.oil)]
        use_lots(batch=self.open, uses=uses, **act(3))
        self.unpriced = make.lot("LATE-1", price=None)
        look = make.item("caps", kind="packaging", unit="piece", needs_check=True)
        self.waiting = make.lot("CAPS-1", item=look, grams="50")
        self.trial = self.a_trial()

    def a_trial(self):
        lot = make.batch(
            "finishing",
            uses=[(self.soap, "50")],
            makes="finished soap",
            amount="50",
            status="quarantine",
            trial=True,
        )
        make.seen(lot.batch)
        note_measurement(lot=lot, readings=[make.check()], **act(3))
        return lot.batch

    def entry(self, lot, kind):
        return Movement.objects.standing().filter(lot=lot, kind=kind).first()


def dilution(shelf):
    return NewBatch(
        stage="dilution",
        uses=[Use(D(500), lot=shelf.soap), Use(D(500), item=shelf.tap)],
        output=Output(D(1000), item=make.item("diluted soap", kind="made")),
    )


def finishing(shelf):
    return NewBatch(
        stage="finishing",
        uses=[Use(D(10), lot=shelf.scent)],
        output=Output(D(1010), item=make.item("finished soap", kind="made")),
        readings=(make.check(),),
    )


def scents(shelf):
    new = finishing(shelf)
    use = Use(D(1000), lot=shelf.soap)
    return [
        NewBatch(
            stage="finishing", uses=[use, *new.uses], output=new.output, readings=()
        )
    ]


def held(shelf):
    hold_lot(lot=shelf.filled, **act(4, reason="a leak"))
    return shelf.filled


def spilt(shelf):
    """20 g less than went in, called a spill on the day of the filling."""
    if not Loss.objects.exists():
        ACTS["name a loss"](shelf)
    return Loss.objects.get()


def made_of(shelf):
    item = make.item("brine", kind="made")
    return {"batch": shelf.open, "output": Output(D(100), item=item)}


ACTS = {
    "record a purchase": lambda s: make.lot("NEW-1", on=day(4)),
    "price a line": lambda s: price_line(line=s.unpriced.line, price=D(7), **act(4)),
    "add an extra cost": lambda s: add_extra_cost(
        purchase=s.oil.line.purchase, kind="freight", amount=D("8.00"), **act(4)
    ),
    "open stock": lambda s: open_stock(
        item=s.oil.item, lot=NewLot(D(10), code="OLD"), value=D(1), **act(4)
    ),
    "receive from the tap": lambda s: receive_from_tap(
        item=s.tap, code="TAP-1", amount=D(10), value=D(0), **act(4)
    ),
    "start a batch": lambda s: start_batch(stage="cook", **act(4)),
    "use lots": lambda s: use_lots(batch=s.open, uses=[Use(D(5), lot=s.oil)], **act(4)),
    "name a loss": lambda s: name_loss(
        batch=s.filled.batch, losses=[NewLoss("spill", D(20))], **act(4)
    ),
    "call a loss otherwise": lambda s: rename_loss(
        loss=spilt(s), kind="burnt", **act(5, reason="it was the stove")
    ),
    "lose a batch": lambda s: lose_batch(
        batch=s.open, kind="boiled over", **act(4, reason="the pot ran over")
    ),
    "make the lot": lambda s: make_lot(**made_of(s), **act(4)),
    "run a batch": lambda s: make.batch(
        "preparation", uses=[(s.oil, "10")], amount="10", on=day(4)
    ),
    "take back an entry": lambda s: reverse_movement(
        movement=s.entry(s.oil, "used"), **act(4, reason="typed twice")
    ),
    "correct an entry": lambda s: correct_movement(
        movement=s.entry(s.oil, "used"), amount=D(80), **act(4, reason="misread")
    ),
    "a craft day": lambda s: craft_day(
        dilution=dilution(s), finishing=finishing(s), **act(4)
    ),
    "several scents": lambda s: craft_scents(scents=scents(s), **act(4)),
    "open a pack": lambda s: open_pack(lot=s.scent, **act(4)),
    "record an open pack": lambda s: record_open_pack(lot=s.scent, **act(4)),
    "check an arrival": lambda s: arrive_fine(
        purchase=s.waiting.line.purchase, **act(4)
    ),
    "note a fragrance document": lambda s: note_document(
        lot=s.scent, edition="2", constituents={"LIMONENE": D("0.1")}, **act(4)
    ),
    "attach a file": lambda s: make.attachment(lot=s.oil),
    "note a measurement": lambda s: note_measurement(
        lot=s.oil,
        readings=[Reading("saponification value", D(190), "stated")],
        **act(4),
    ),
    "record a measurement": lambda s: record_measurement(
        lot=s.filled, readings=[Reading("pH", D("9.5"))], **act(4)
    ),
    "note a step": lambda s: note_step(batch=s.open, text="stirred", **act(4)),
    "record a step": lambda s: record_step(batch=s.open, text="stirred", **act(4)),
    "accept a trial": lambda s: promote_trial(
        batch=s.trial, **act(4, reason="clear and mild")
    ),
    "bench trials": lambda s: bench_trials(
        soap=s.soap,
        soap_each=D(50),
        additions=[NewAddition(s.scent, [D("0.01"), D("0.02")])],
        item=make.item("finished soap", kind="made"),
        **act(4),
    ),
    "look at a trial": lambda s: note_look(
        batch=s.trial, look="week", text="still clear", **act(12)
    ),
    "sell": lambda s: make.sale(s.filled, "2", on=day(4)),
    "take back": lambda s: take_back(
        line=s.sold.lines.get(), amount=D(1), then="restock", **act(4)
    ),
    "look at a return": lambda s: look_at_return(
        back=Return.objects.get(), seen="sealed", place=s.crate, **act(5)
    ),
    "release a lot": lambda s: release_lot(
        lot=s.filled, **act(5, reason="only the box was wet")
    ),
    "hold a lot": held,
    "reject a lot": lambda s: reject_lot(lot=s.filled, **act(4, reason="cloudy")),
    "record a status": lambda s: record_status(
        lot=s.filled, status="rejected", **act(4)
    ),
    "record a hold": lambda s: record_hold(batch=s.open, **act(4)),
    "count a lot": lambda s: count_lot(
        lot=s.oil, found=D(890), **act(4, reason="a rest")
    ),
    "count a place": lambda s: count_place(
        place=ensure_place("workshop"),
        counts=[Found(s.oil, D(890)), Found(s.bottles, D(99))],
        **act(4, reason="yearly count"),
    ),
    "reweigh a lot": lambda s: reweigh_lot(lot=s.soap, found=D(8900), **act(4)),
    "give goods away": lambda s: give(
        lot=s.filled, amount=D(1), why="gift", recipient="Oda", **act(4)
    ),
    "discard goods": lambda s: discard(
        lot=s.filled, amount=D(1), **act(4, reason="dropped")
    ),
    "move goods": lambda s: move_lot(lot=s.filled, amount=D(6), to=s.crate, **act(4)),
    "put a figure right": lambda s: put_right(
        of="purchase",
        row=s.oil.line.purchase.pk,
        figures={"rate": D(2)},
        **act(4, reason="in euro"),
    ),
    "give a proper code": lambda s: give_proper_code(
        thing=s.keeps, code="PROPER-1", **act(4, reason="nobody can type it")
    ),
    "extend the expiry": lambda s: extend_expiry(
        lot=s.keeps,
        expires=date(2027, 1, 1),
        paper="report 7",
        **act(4, reason="tested again"),
    ),
    "say what happened since a backup": lambda s: say_what_happened(
        restored=Restored.objects.get(), codes=["S-90"], **act(6)
    ),
    "note work": lambda s: note_work(
        batch=s.open, work=[NewWork("labour", D(1), D(18))], **act(4)
    ),
}


def came_back(shelf):
    line = shelf.sold.lines.get()
    take_back(line=line, amount=D(2), then="apart", **act(4))


def from_a_backup(shelf):
    moment = datetime(2026, 3, 5, tzinfo=UTC)
    note_restored(taken_at=moment, restored_at=moment)


def odd_code(shelf):
    """As an earlier book let it in."""
    Lot.objects.filter(pk=shelf.keeps.pk).update(code="KEEPS/1")


# What must have been done before.
AFTER = {
    "say what happened since a backup": from_a_backup,
    "give a proper code": odd_code,
    "release a lot": held,
    "call a loss otherwise": spilt,
    "look at a return": came_back,
}


def undo(deed, **facts):
    return undo_deed(undone=deed, **act(20, reason="by mistake"), **facts)


def test_every_deed_is_taken_back_or_says_why_it_stays():
    assert set(ACTS) | set(STAYS) >= set(DEEDS)
    assert not set(ACTS) & set(STAYS)


# What they write is shown on a page and changes nothing that is told here.
SILENT = {
    "start a batch",
    "attach a file",
    "note a fragrance document",
    "accept a trial",
    "record a hold",
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
