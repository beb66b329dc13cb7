"""Bottles leave, and some come back."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from production.actions.deeds import deed, ensure_valid
from production.actions.lots import as_given, next_number
from production.actions.neutral import leaves_neutral
from production.actions.posting import Entry, post
from production.domain.numbers import plain
from production.domain.refusal import Refused
from production.models import (
    Customer,
    Deed,
    Lot,
    Movement,
    Place,
    Promotion,
    Return,
    Sale,
    SaleLine,
    Status,
)
from production.reads.stock import status_on

KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class NewSaleLine:
    lot: Lot
    amount: Decimal
    unit_price: Decimal | None = None
    place: Place | None = None


@deed("sell", gives=Sale)
def sell(
    deed: Deed,
    *,
    lines: Sequence[NewSaleLine],
    number: str = "",
    channel: str = "",
    customer: Customer | None = None,
    past: bool = False,
) -> Sale:
    """Record a delivery. Without a customer, a channel and the day must do.

    ``past`` is taken over from an earlier book, whose own hand judged its neutrality.
    """
    if not lines:
        raise Refused("A sale needs at least one line.")
    if customer is None and not channel.strip():
        raise Refused("Say who bought it, or through which channel it was sold.")
    sale = Sale(
        deed=deed,
        number=as_given(number) or next_number(Sale, "S"),
        on=deed.on,
        channel=channel.strip(),
        customer=customer,
    )
    ensure_valid(sale)
    sale.save()
    if not past:
        for line in lines:
            leaves_neutral(line.lot, deed.on)
    entries = [
        _sold(deed, sale, position, line)
        for position, line in enumerate(lines, start=1)
    ]
    post(deed, entries)
    return sale


def _sold(deed: Deed, sale: Sale, position: int, line: NewSaleLine) -> Entry:
    if line.amount <= 0:
        raise Refused(f"Line {position}: write how many of {line.lot} were sold.")
    if line.unit_price is not None and line.unit_price < 0:
        raise Refused(f"Line {position}: a price is not below zero.")
    _may_be_sold(deed, line.lot)
    row = SaleLine(
        deed=deed,
        sale=sale,
        position=position,
        lot=line.lot,
        amount=line.amount,
        unit_price=line.unit_price,
    )
    ensure_valid(row)
    row.save()
    return Entry(
        lot=line.lot,
        amount=-line.amount,
        kind=KIND.SOLD,
        on=deed.on,
        place=line.place,
        sale_line=row,
    )


def _may_be_sold(deed: Deed, lot: Lot) -> None:
    status = status_on(lot, deed.on)
    if status != Status.Word.RELEASED:
        raise Refused(
            f"{lot} was {status or 'not in the book'} on {deed.on}. Only a released "
            "lot is sold: release it first, or sell another."
        )
    trial = lot.batch_id and lot.batch.trial
    promoted = Promotion.objects.filter(batch=lot.batch_id, deed__on__lte=deed.on)
    if trial and not promoted.exists():
        raise Refused(f"{lot} is a trial. An owner accepts it before it is sold.")


@deed("take back", gives=Return)
def take_back(
    deed: Deed,
    *,
    line: SaleLine,
    amount: Decimal,
    then: str,
    number: str = "",
    place: Place | None = None,
) -> Return:
    """Goods come back: into stock again, or destroyed, at the cost they left with."""
    Lot.objects.locked([line.lot_id])
    sold = Movement.objects.standing().filter(sale_line=line, kind=KIND.SOLD).first()
    if sold is None:
        raise Refused(f"{line} was taken back as a whole: nothing of it was sold.")
    if deed.on < sold.on:
        raise Refused(f"{line} was sold on {sold.on}: it cannot come back before.")
    if amount <= 0:
        raise Refused("Write how many came back.")
    back = Movement.objects.standing().filter(
        sale_line=line, kind=KIND.RETURNED
    ).aggregate(total=Sum("amount"))["total"] or Decimal(0)
    if back + amount > line.amount:
        raise Refused(
            f"{plain(line.amount)} were sold and {plain(back)} came back already: "
            f"{plain(amount)} more is too many."
        )
    return _take_back(deed, line, amount, then, number, place or sold.place)


def _take_back(
    deed: Deed, line: SaleLine, amount: Decimal, then: str, number: str, place: Place
) -> Return:
    came = Entry(
        lot=line.lot,
        amount=amount,
        kind=KIND.RETURNED,
        on=deed.on,
        place=place,
        sale_line=line,
    )
    entries = [came]
    if then == Return.Then.DESTROY:
        entries.append(
            Entry(
                lot=line.lot,
                amount=-amount,
                kind=KIND.DISCARDED,
                on=deed.on,
                place=place,
                sale_line=line,
            )
        )
    movement = post(deed, entries)[0]
    row = Return(
        deed=deed,
        number=as_given(number) or next_number(Return, "RT"),
        line=line,
        movement=movement,
        then=then,
    )
    ensure_valid(row)
    row.save()
    return row
