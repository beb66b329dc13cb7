"""Somebody looks at what came back: it is sealed and goes back, or never does."""

from decimal import Decimal

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.models.ink import Deed
from production.selling.models import Looked, Return
from production.selling.reads.returned_goods import unseen_of
from production.stock.actions.place_rules import LOOK
from production.stock.actions.posting import Entry, post
from production.stock.models.lots import Movement
from production.workshop.models.places import Place

KIND = Movement.Kind


@deed(LOOK, gives=Looked)
def look_at_return(
    deed: Deed,
    *,
    back: Return,
    seen: str,
    amount: Decimal | None = None,
    place: Place | None = None,
) -> Looked:
    """Say what was seen of goods that came back; without an ``amount`` of all of them.

    Sealed and fine they go to ``place``, or where they were sold from. What was
    opened, refilled or damaged stays apart, to be discarded, sampled or reworked.
    """
    amount = _unseen(deed, back, amount)
    row = written(Looked(deed=deed, back=back, seen=seen, amount=amount))
    if seen not in Looked.UNFIT:
        _goes_back(deed, back, amount, place or sold_from(back))
    return row


def _unseen(deed: Deed, back: Return, amount: Decimal | None) -> Decimal:
    if back.then != Return.Then.APART:
        raise Refused(f"{back} was not put apart: {back.get_then_display()}.")
    if deed.on < back.movement.on:
        raise Refused(f"{back} came on {back.movement.on}: nobody looked at it before.")
    left = unseen_of(back)
    if left <= 0:
        raise Refused(f"Nothing of {back} waits to be looked at.")
    if amount is None:
        return left
    if amount <= 0:
        raise Refused("Write how many you looked at.")
    if amount > left:
        raise Refused(
            f"{plain(left)} of {back} wait to be looked at, not {plain(amount)}."
        )
    return amount


def sold_from(back: Return) -> Place:
    """The place that its line was sold from."""
    sold = back.line.movements.standing().filter(kind=KIND.SOLD).first()
    if sold is None:
        raise Refused(f"The sale of {back.line.lot} was taken back. Choose a place.")
    return sold.place


def _goes_back(deed: Deed, back: Return, amount: Decimal, to: Place) -> None:
    if to.apart:
        raise Refused(f"{to} is where it stands. Choose where it is sold from.")
    lot, apart = back.line.lot, back.movement.place
    post(
        deed,
        [
            Entry(lot=lot, amount=-amount, kind=KIND.MOVED, on=deed.on, place=apart),
            Entry(lot=lot, amount=amount, kind=KIND.MOVED, on=deed.on, place=to),
        ],
    )
