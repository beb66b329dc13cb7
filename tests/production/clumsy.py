"""A maker's words for the stories about mistakes: through deeds, seen by the reads."""

from decimal import Decimal

from costing.reads import whole_book
from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.correcting.actions.entries import correct_movement
from production.correcting.actions.undoing import undo_deed
from production.models import Deed, Movement
from production.tracing.reads.family import stands
from tests import make

WHY = {"reason": "mistyped"}


def here(lot):
    """What stands of a lot, place by place."""
    return {place: amount for place, _, amount in stands([lot])}


def unit_cost(lot):
    return whole_book().valuation.lots[lot.code].unit_cost


def latest():
    return Deed.objects.latest("pk")


def entry(lot, kind):
    return Movement.objects.standing().get(lot=lot, kind=kind)


def undo(deed, number=9):
    undo_deed(undone=deed, **make.act(number, **WHY))


def correct(movement, amount, number=8):
    correct_movement(
        movement=movement, amount=Decimal(amount), **make.act(number, **WHY)
    )
    return latest()


def material(name="glycerin", category="additive"):
    return make.item(name, category=category)


def open_pot(lot, grams, code="POT"):
    """A batch that is under way, with some of a lot inside."""
    pot = start_batch(stage="preparation", code=code, **make.act())
    put_in(pot, lot, grams)
    return pot


def put_in(pot, lot, grams):
    uses = [Use(Decimal(grams), lot)]
    use_lots(batch=pot, uses=uses, **make.act())


def make_of(pot, grams, code="MADE", number=5):
    output = Output(
        Decimal(grams), make.item("blend", kind="made"), code=code, status="released"
    )
    return make_lot(batch=pot, output=output, **make.act(number))


def bottle():
    return make.item("bottle 250", kind="packaging", unit="piece")
