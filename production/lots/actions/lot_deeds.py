"""What happens to goods between making and selling: weigh, give, move."""

from decimal import Decimal

from production.contents.domain.reweighing import Restated
from production.contents.reads.reweighing import REWEIGHING, on_hand_on, weighing
from production.counting.actions import write_count
from production.counting.domain import WATER, Difference
from production.fitness.actions.guards import (
    came_with_a_past,
    may_go,
    may_go_since_a_backup,
)
from production.fitness.domain.reasons import Purpose
from production.quantities.domain.numbers import SHARE_STEP, plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.actions.people import reason_asked
from production.record.models.ink import Deed
from production.stock.actions.opening_lots import Reading, note_readings, weighed_again
from production.stock.actions.place_rules import not_handed_over
from production.stock.actions.posting import Entry, home_place, post
from production.stock.models.lots import Given, Lot, Movement
from production.stock.models.readings import Measurement
from production.workshop.models.places import Place

KIND = Movement.Kind
HELD_BACK = {Given.Why.SAMPLE, Given.Why.RETAINED}


def _above_zero(amount: Decimal) -> None:
    if amount <= 0:
        raise Refused("Write an amount above zero.")


@deed(REWEIGHING)
def reweigh_lot(
    deed: Deed,
    *,
    lot: Lot,
    found: Decimal | None = None,
    difference: Decimal | None = None,
    place: Place | None = None,
    past: bool = False,
) -> None:
    """Paste that dried out, flakes that took up damp: the difference is water.

    Goods and value stay; soap content and purity are restated from the two weights.
    ``past`` is taken over from an earlier book.
    """
    place = place or home_place()
    if later := weighed_again(lot, deed.on):
        raise Refused(f"{lot} was weighed again on {later}. Take that back first.")
    booked = on_hand_on(lot, deed.on, place)
    # A past tells the difference, and what was found only where that was written.
    asserted = found
    if difference is not None or found is None:
        found = booked + (difference or Decimal(0))
    restated = weighing(lot, found, on=deed.on, place=place, past=past).restated
    if not past:
        _ask_about_water(deed, lot, Difference(booked, found))
    for row in restated:
        _restate(deed, lot, row)
    [entry] = post(
        deed,
        [
            Entry(
                lot=lot,
                amount=found - booked,
                kind=KIND.REWEIGHED,
                on=deed.on,
                place=place,
            )
        ],
    )
    if past and asserted is None:
        return
    asserted = found if asserted is None else asserted
    booked = asserted - entry.amount
    facts = {"found": asserted, "booked": booked, "entry": entry, "reweighed": True}
    write_count(deed, lot, place, **facts)


def _ask_about_water(deed: Deed, lot: Lot, change: Difference) -> None:
    """Only water comes and goes in a weighing; what is missing is counted."""
    if change.size > WATER * change.booked and not deed.reason.strip():
        raise Refused(
            f"{lot}: {change.says}. That is more than dries out or is taken up: count "
            "the lot instead if something is missing, or give the reason."
        )


def _restate(deed: Deed, lot: Lot, row: Restated) -> None:
    """What it held goes down too where nobody had read it: it can be taken back to."""
    if row.calculated:
        before = Reading(
            what=row.what,
            value=row.then.quantize(SHARE_STEP),
            basis=Measurement.Basis.STATED,
            note="worked out from what went in",
        )
        note_readings(deed, (before,), lot=lot)
    note_readings(
        deed, (Reading(what=row.what, value=row.now, note="reweighed"),), lot=lot
    )


@deed("give goods away", moves_goods=True, gives=Given)
def give(
    deed: Deed,
    *,
    lot: Lot,
    amount: Decimal,
    why: str,
    recipient: str = "",
    place: Place | None = None,
    override: bool = False,
    past: bool = False,
) -> Given:
    """Samples, testers, gifts, own use, retained: who has it stays known.

    A sample for the bench or a laboratory and a retained piece are taken from any
    status; what is handed to a person is asked about. ``past`` is taken over from an
    earlier book, whose own hand judged it.
    """
    _above_zero(amount)
    kept = past and why in HELD_BACK and came_with_a_past(lot)
    if handed_over(why, recipient):
        not_handed_over(lot, place)
    if handed_over(why, recipient) and kept:
        may_go_since_a_backup(deed, lot, Purpose.GIFT)
    elif handed_over(why, recipient):
        may_go(deed, [lot], Purpose.GIFT, override=override, past=past)
    [movement] = post(
        deed,
        [Entry(lot=lot, amount=-amount, kind=KIND.GIVEN, on=deed.on, place=place)],
    )
    return written(Given(deed=deed, movement=movement, why=why, recipient=recipient))


def handed_over(why: str, recipient: str) -> bool:
    """What somebody with a name gets may go onto skin like any gift."""
    if why in {Given.Why.GIFT, Given.Why.TESTER, Given.Why.OWN_USE}:
        return True
    named = bool(recipient.strip())
    return named and why in {Given.Why.SAMPLE, Given.Why.RETAINED}


@deed("discard goods", moves_goods=True)
def discard(
    deed: Deed, *, lot: Lot, amount: Decimal, place: Place | None = None
) -> None:
    """Throw away, with the reason: a spill, a leak, past its date."""
    _above_zero(amount)
    reason_asked(deed, f"discarding {plain(amount)} of {lot}")
    entry = Entry(lot=lot, amount=-amount, kind=KIND.DISCARDED, on=deed.on, place=place)
    post(deed, [entry])


@deed("move goods", moves_goods=True)
def move_lot(
    deed: Deed,
    *,
    lot: Lot,
    amount: Decimal,
    to: Place,
    place: Place | None = None,
    override: bool = False,
    past: bool = False,
) -> None:
    """Carry goods from one place to another: into the crate, to the shop.

    A customer's own shop is out of hand: what goes there is asked about.
    """
    _above_zero(amount)
    if to.customer_id and past and came_with_a_past(lot):
        may_go_since_a_backup(deed, lot, Purpose.MOVE)
    elif to.customer_id:
        may_go(deed, [lot], Purpose.MOVE, override=override)
    start = place or home_place()
    if start == to:
        raise Refused(f"{lot} stands at {to} already. Choose another place.")
    post(
        deed,
        [
            Entry(lot=lot, amount=-amount, kind=KIND.MOVED, on=deed.on, place=start),
            Entry(lot=lot, amount=amount, kind=KIND.MOVED, on=deed.on, place=to),
        ],
    )
