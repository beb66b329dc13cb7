"""Empties come back: the deposit goes out, and they wait to be washed and looked at."""

from decimal import Decimal

from production.quantities.domain.numbers import ZERO, plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.actions.people import reason_asked
from production.record.models.ink import Deed
from production.selling.models import Customer, EmptyBack
from production.selling.reads.deposits import empties_of, owed_to
from production.stock.actions.opening_lots import (
    NewLot,
    Reading,
    note_readings,
    open_lot,
    set_status,
)
from production.stock.actions.posting import Entry, post
from production.stock.models.lots import Lot, Movement, Status
from production.stock.models.readings import Measurement
from production.stock.reads.stock import status_on
from production.workshop.models.items import Item
from production.workshop.models.places import Place

KIND, WORD = Movement.Kind, Status.Word
WASHED = "washed and looked at"


@deed("take empties back", moves_goods=True, gives=EmptyBack)
def take_empties_back(
    deed: Deed,
    *,
    item: Item,
    amount: Decimal,
    deposit: Decimal,
    customer: Customer | None = None,
    channel: str = "",
    value: Decimal = ZERO,
    code: str = "",
    place: Place | None = None,
    past: bool = False,
) -> EmptyBack:
    """Pieces of packaging come back, and the deposit of each is paid back.

    They are a lot of their own in quarantine, worth ``value`` in all: nothing, unless
    somebody says more. No more is paid back than is owed; an earlier book (``past``)
    knew that by itself.
    """
    if item.kind != Item.Kind.PACKAGING or item.unit != Item.Unit.PIECE:
        raise Refused(
            f"{item} is no packaging that is counted. Choose the bottle as it is "
            "bought, not what was filled into it."
        )
    if amount <= 0 or amount != amount.to_integral_value():
        raise Refused("Write how many came back, in whole pieces.")
    if deposit < 0 or value < 0:
        raise Refused("Neither a deposit nor what they are worth is below zero.")
    if customer is None and not channel.strip():
        raise Refused("Say who brought them, or through which channel they were sold.")
    if not past:
        _no_more_than_is_owed(customer, channel, amount * deposit)
    lot = open_lot(deed, item, NewLot(amount=amount, code=code))
    set_status(deed, lot, WORD.QUARANTINE)
    came = Entry(
        lot=lot,
        amount=amount,
        kind=KIND.RECEIVED,
        on=deed.on,
        place=place,
        value=value,
    )
    [movement] = post(deed, [came])
    return written(
        EmptyBack(
            deed=deed,
            movement=movement,
            customer=customer,
            channel="" if customer else " ".join(channel.split()),
            deposit=deposit,
        )
    )


def _no_more_than_is_owed(
    customer: Customer | None, channel: str, paid: Decimal
) -> None:
    if not paid:
        return
    owed, who = owed_to(customer, channel), customer or channel
    if paid > owed:
        raise Refused(
            f"{plain(paid)} would be paid back, and {who} is owed "
            f"{plain(max(owed, ZERO))} of deposits. Choose who paid the deposit; "
            "or put the deposit of that sale right; or take them back for nothing."
        )


@deed("wash and look at empties", gives=Status)
def look_at_empties(deed: Deed, *, lot: Lot, broken: Decimal = ZERO) -> Status | Deed:
    """What is clean and whole may be filled again; what is not is thrown away."""
    back = empties_of([lot]).get(lot.pk)
    if back is None:
        raise Refused(f"{lot} did not come back empty.")
    if status_on(lot, deed.on) != WORD.QUARANTINE:
        raise Refused(f"{lot} does not wait to be washed on {deed.on}.")
    held = Lot.objects.with_on_hand().get(pk=lot.pk).on_hand
    if not 0 <= broken <= held or broken != broken.to_integral_value():
        raise Refused(
            f"{plain(held)} of {lot} are here: write how many of them are broken or "
            "not clean, in whole pieces."
        )
    if broken:
        reason_asked(deed, "throwing some of them away")
        place = back.movement.place
        entry = Entry(
            lot=lot, amount=-broken, kind=KIND.DISCARDED, on=deed.on, place=place
        )
        post(deed, [entry])
    if broken == held:
        return deed
    what = Measurement.What.OTHER
    note_readings(deed, (Reading(what=what, passed=True, note=WASHED),), lot=lot)
    return set_status(deed, lot, WORD.RELEASED)
