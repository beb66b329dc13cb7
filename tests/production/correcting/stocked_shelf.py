"""A small workshop with one of each, every deed that may be written there, and back."""

from datetime import date
from decimal import Decimal as D

from costing.actions.prices import set_price, set_target
from costing.models import Channel
from labels.actions.assessments import decide_kind, note_assessment
from labels.actions.issuing import approve_text
from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.days import craft_day, craft_scents
from production.batches.actions.losing import lose_batch, name_loss, rename_loss
from production.batches.actions.new_batch import NewBatch, Output, Use
from production.batches.actions.overhead import state_overhead
from production.batches.actions.trials import (
    NewAddition,
    bench_trials,
    note_look,
    promote_trial,
)
from production.batches.actions.working import note_work
from production.buying.actions.arrivals import arrive_fine
from production.buying.actions.payments import pay_bill
from production.buying.actions.purchases import (
    add_extra_cost,
    open_stock,
    price_line,
    receive_from_tap,
)
from production.buying.actions.sending_back import note_credit, send_back
from production.buying.models import SentBack
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.putting_right.codes import give_proper_code
from production.correcting.actions.putting_right.deed import put_right
from production.correcting.actions.putting_right.expiry import extend_expiry
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import Found, count_lot, count_place
from production.fragrance.actions import note_document
from production.lots.actions.lot_deeds import discard, give, move_lot, reweigh_lot
from production.lots.actions.packs import open_pack, record_open_pack
from production.models import EmptyBack, Loss, Movement, Restored, Return
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
from production.restoring.actions import say_what_happened
from production.selling.actions.deposits import look_at_empties, take_empties_back
from production.selling.actions.payments import pay_sale
from production.selling.actions.returns import look_at_return
from production.selling.actions.sales import take_back
from production.stock.actions.opening_lots import NewLot, Reading
from production.workshop.actions.cards import ensure_place
from production.workshop.actions.rates import (
    budget_overhead,
    say_hour_rate,
    say_tariff,
)
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from tests import make
from tests.make import act, day


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


def empties_back(shelf):
    take_empties_back(
        item=shelf.bottles.item,
        amount=D(2),
        deposit=D(0),
        channel="stall",
        **act(4),
    )


def asked_at_a_stall(shelf):
    channel = Channel.objects.create(name="stall", kind="retail")
    return {"item": shelf.filled.item, "channel": channel}


ACTS = {
    "set a price": lambda s: set_price(
        **asked_at_a_stall(s), valid_from=day(4), price=D(9), **act(4)
    ),
    "set a target margin": lambda s: set_target(margin=D("0.4"), **act(4)),
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
    "pay a bill": lambda s: pay_bill(
        purchase=s.oil.line.purchase, amount=D(3), **act(4)
    ),
    "take in a payment": lambda s: pay_sale(sale=s.sold, amount=D(3), **act(4)),
    "send goods back": lambda s: send_back(lot=s.oil, amount=D(5), **act(4)),
    "note a credit": lambda s: note_credit(
        sent=SentBack.objects.get(), credit=D(1), **act(4)
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
    "say what an hour costs": lambda s: say_hour_rate(
        person="Ines", rate=D(24), since=day(1), **act(4)
    ),
    "say what power costs": lambda s: say_tariff(price=D(1), since=day(1), **act(4)),
    "budget the overhead": lambda s: budget_overhead(
        year=2026, budget=D(10), normal=D(2), **act(4)
    ),
    "state what overhead came to": lambda s: state_overhead(
        year=2025, actual=D(10), **act(4)
    ),
    "take empties back": lambda s: empties_back(s),
    "wash and look at empties": lambda s: look_at_empties(
        lot=EmptyBack.objects.get().movement.lot, **act(5)
    ),
    "note an assessment": lambda s: note_assessment(
        item=s.filled.item,
        rules="eu",
        reference="A-1",
        assessor="Ada Birch",
        assessed_on=day(1),
        **act(4),
    ),
    "decide the kind of product": lambda s: decide_kind(
        item=s.filled.item, rules="us", kind="cosmetic", ours="cosmetic", **act(4)
    ),
    "approve a label's text": lambda s: approve_text(
        lot=s.filled,
        rules="eu",
        text="{}",
        causes=list(s.filled.holds.all()),
        **act(5, reason="read against the papers"),
    ),
}


def undo(deed, **facts):
    return undo_deed(undone=deed, **act(20, reason="by mistake"), **facts)
