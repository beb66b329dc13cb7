"""A lot with an entry of each kind, and how one is found, taken back, put right."""

from decimal import Decimal

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.buying.actions.purchases import open_stock, price_line
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.counting.actions import count_lot
from production.lots.actions.lot_deeds import discard, give, move_lot, reweigh_lot
from production.models import Deed, Movement
from production.selling.actions import sales as deeds
from production.stock.actions.opening_lots import NewLot
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.make import act

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
