"""What happens to goods between making and selling: count, weigh, give, move."""

from datetime import date
from decimal import Decimal

from django.db.models import Sum

from production.actions.deeds import deed, ensure_valid, refuse_closed
from production.actions.lots import Reading, note_readings, weighed_again
from production.actions.people import owner_only, reason_asked
from production.actions.posting import Entry, home_place, post
from production.domain.numbers import plain
from production.domain.refusal import Refused
from production.models import (
    Closing,
    Deed,
    Given,
    Item,
    Lot,
    Measurement,
    Movement,
    Place,
    Status,
)
from production.reads.stock import latest_measurement, status_on

KIND = Movement.Kind
RESTATED = (Measurement.What.SOAP_CONTENT, Measurement.What.PURITY)


def _on_hand(lot: Lot, on: date, place: Place | None = None) -> Decimal:
    """At the end of that day: a count typed late is judged against its own day."""
    rows = Movement.objects.filter(lot=lot, on__lte=on)
    if place is not None:
        rows = rows.filter(place=place)
    return rows.aggregate(total=Sum("amount"))["total"] or Decimal(0)


def _above_zero(amount: Decimal) -> None:
    if amount <= 0:
        raise Refused("Write an amount above zero.")


@deed("count a lot")
def count_lot(
    deed: Deed,
    *,
    lot: Lot,
    found: Decimal | None = None,
    difference: Decimal | None = None,
    place: Place | None = None,
) -> None:
    """Say what is really there; the difference is booked, with its value."""
    place = place or home_place()
    Lot.objects.locked([lot.pk])
    if difference is None:
        if found is None or found < 0:
            raise Refused("A count is zero or more.")
        difference = found - _on_hand(lot, deed.on, place)
    if difference == 0:
        agrees = Reading(
            what=Measurement.What.MASS, value=found, note="counted, agrees"
        )
        note_readings(deed, (agrees,), lot=lot)
        return
    entry = Entry(
        lot=lot, amount=difference, kind=KIND.COUNTED, on=deed.on, place=place
    )
    post(deed, [entry])


@deed("reweigh a lot")
def reweigh_lot(
    deed: Deed,
    *,
    lot: Lot,
    found: Decimal | None = None,
    difference: Decimal | None = None,
    place: Place | None = None,
) -> None:
    """Paste that dried out, flakes that took up damp: the difference is water.

    Goods and value stay; soap content and purity are restated from the two weights.
    """
    place = place or home_place()
    Lot.objects.locked([lot.pk])
    if lot.item.unit != Item.Unit.GRAM:
        raise Refused(f"{lot} is counted in pieces. Count it instead.")
    if later := weighed_again(lot, deed.on):
        raise Refused(f"{lot} was weighed again on {later}. Take that back first.")
    booked = _on_hand(lot, deed.on, place)
    if booked <= 0:
        raise Refused(f"Nothing of {lot} is on hand at {place}.")
    if found is None:
        found = booked + (difference or Decimal(0))
    _above_zero(found)
    if found == booked:
        raise Refused(f"{lot} weighs what the book says. Nothing to restate.")
    # A value is of the whole lot, also where only one of its places was weighed.
    whole = _on_hand(lot, deed.on)
    for what in RESTATED:
        _restate(deed, lot, what, whole, whole + found - booked)
    entry = Entry(
        lot=lot, amount=found - booked, kind=KIND.REWEIGHED, on=deed.on, place=place
    )
    post(deed, [entry])


def _restate(deed: Deed, lot: Lot, what: str, booked: Decimal, found: Decimal) -> None:
    latest = latest_measurement(lot, what, on=deed.on)
    if latest is None or latest.value is None:
        return
    value = (latest.value * booked / found).quantize(Decimal("0.000001"))
    if value > 1:
        raise Refused(
            f"At {plain(found)} g the {what} of {lot} would be {value}: more than the "
            "whole. Weigh again."
        )
    note_readings(deed, (Reading(what=what, value=value, note="reweighed"),), lot=lot)


@deed("give goods away", gives=Given)
def give(
    deed: Deed,
    *,
    lot: Lot,
    amount: Decimal,
    why: str,
    recipient: str = "",
    place: Place | None = None,
) -> Given:
    """Samples, testers, gifts, own use, retained: who has it stays known."""
    _above_zero(amount)
    status = status_on(lot, deed.on)
    leaves = why in {Given.Why.GIFT, Given.Why.TESTER, Given.Why.OWN_USE}
    if leaves and status != Status.Word.RELEASED:
        raise Refused(
            f"{lot} is {status}: only samples and retained pieces leave it until it is "
            "released."
        )
    [movement] = post(
        deed,
        [Entry(lot=lot, amount=-amount, kind=KIND.GIVEN, on=deed.on, place=place)],
    )
    row = Given(deed=deed, movement=movement, why=why, recipient=recipient)
    ensure_valid(row)
    row.save()
    return row


@deed("discard goods")
def discard(
    deed: Deed, *, lot: Lot, amount: Decimal, place: Place | None = None
) -> None:
    """Throw away, with the reason: a spill, a leak, past its date."""
    _above_zero(amount)
    reason_asked(deed, f"discarding {plain(amount)} of {lot}")
    entry = Entry(lot=lot, amount=-amount, kind=KIND.DISCARDED, on=deed.on, place=place)
    post(deed, [entry])


@deed("move goods")
def move_lot(
    deed: Deed, *, lot: Lot, amount: Decimal, to: Place, place: Place | None = None
) -> None:
    """Carry goods from one place to another: into the crate, to the shop."""
    _above_zero(amount)
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


@deed("close the book", gives=Closing)
def close_book(deed: Deed, *, through: date) -> Closing:
    """Close a month: nothing is dated on or before ``through`` from now on."""
    owner_only(deed.by, "close a month")
    if through > deed.on:
        raise Refused(
            "A month is closed when it is over: choose a day that has passed."
        )
    if deed.on <= through:
        raise Refused("Date the closing after the last day that it closes.")
    refuse_closed(deed.verb, through)
    row = Closing(deed=deed, through=through)
    ensure_valid(row)
    row.save()
    return row
