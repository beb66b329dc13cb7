"""A lot counted, spilt, and what the book says that no longer agrees with a count."""

from decimal import Decimal

from django.urls import reverse

from production.correcting.actions.undoing import undo_deed
from production.counting.actions import count_lot
from production.counting.reads import disagreeing
from production.lots.actions.lot_deeds import discard
from tests.make import act


def count(lot, found, on=3, **facts):
    facts = {"reason": "yearly count", **facts}
    return count_lot(lot=lot, found=Decimal(found), **act(on, **facts))


def spill(lot, grams, on):
    return discard(lot=lot, amount=Decimal(grams), **act(on, reason="spilt"))


def undo(deed, on=9):
    return undo_deed(undone=deed, **act(on, reason="it was not so"))


def said():
    """What the book disagrees with: counted, and what it says now."""
    return [(row.count.found, row.says) for row in disagreeing()]


def page(desk, name, *args):
    return " ".join(desk.get(reverse(name, args=args)).content.decode().split())
