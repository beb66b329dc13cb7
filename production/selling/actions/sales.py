"""Bottles leave, and some come back."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from production.fitness.actions.guards import may_go
from production.fitness.domain.reasons import Purpose
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.models.ink import Deed
from production.selling.actions.payments import pay_at_once
from production.selling.domain.sales_tax import refuse_odd_rate, refuse_odd_tax
from production.selling.models import Customer, Return, Sale, SaleLine
from production.stock.actions.freed_codes import free_number
from production.stock.actions.opening_lots import given_number, next_number
from production.stock.actions.place_rules import place_apart
from production.stock.actions.posting import Entry, post
from production.stock.models.lots import Lot, Movement
from production.workshop.models.places import Place

KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class NewSaleLine:
    lot: Lot
    amount: Decimal
    unit_price: Decimal | None = None
    place: Place | None = None
    deposit: Decimal | None = None
    tax: Decimal | None = None


@deed("sell", moves_goods=True, gives=Sale)
def sell(
    deed: Deed,
    *,
    lines: Sequence[NewSaleLine],
    number: str = "",
    channel: str = "",
    customer: Customer | None = None,
    tax_rate: Decimal | None = None,
    tax_is: str = Sale.TaxIs.ON_TOP,
    paid: bool = False,
    override: bool = False,
    past: bool = False,
) -> Sale:
    """Record a delivery. Without a customer, a channel and the day must do.

    ``tax_rate`` is a fraction, ``tax_is`` whether the prices contain it; ``paid``: all
    of it was paid at once.
    ``override``: an owner sells what has expired, or an alkali as such, and says why.
    ``past`` is taken over from an earlier book, whose own hand judged it.
    """
    if not lines:
        raise Refused("A sale needs at least one line.")
    if customer is None and not channel.strip():
        raise Refused("Say who bought it, or through which channel it was sold.")
    refuse_odd_rate(tax_rate)
    number = given_number(number) or next_number(Sale)
    free_number(Sale, number)
    sale = written(
        Sale(
            deed=deed,
            number=number,
            on=deed.on,
            channel=channel.strip(),
            customer=customer,
            tax_rate=tax_rate,
            tax_is=tax_is,
        )
    )
    sold = [line.lot for line in lines]
    may_go(deed, sold, Purpose.SALE, override=override, past=past)
    entries = [
        _sold(deed, sale, position, line)
        for position, line in enumerate(lines, start=1)
    ]
    post(deed, entries)
    if paid:
        pay_at_once(deed, sale)
    return sale


def _sold(deed: Deed, sale: Sale, position: int, line: NewSaleLine) -> Entry:
    if line.amount <= 0:
        raise Refused(f"Line {position}: write how many of {line.lot} were sold.")
    if line.unit_price is not None and line.unit_price < 0:
        raise Refused(f"Line {position}: a price is not below zero.")
    if line.deposit is not None and line.deposit < 0:
        raise Refused(f"Line {position}: a deposit is not below zero.")
    refuse_odd_tax(f"Line {position}", line.tax)
    row = written(
        SaleLine(
            deed=deed,
            sale=sale,
            position=position,
            lot=line.lot,
            amount=line.amount,
            unit_price=line.unit_price,
            deposit=line.deposit,
            tax=line.tax,
        )
    )
    return Entry(
        lot=line.lot,
        amount=-line.amount,
        kind=KIND.SOLD,
        on=deed.on,
        place=line.place,
        sale_line=row,
    )


@deed("take back", moves_goods=True, gives=Return)
def take_back(
    deed: Deed,
    *,
    line: SaleLine,
    amount: Decimal,
    then: str,
    number: str = "",
    place: Place | None = None,
) -> Return:
    """Goods come back, at the cost they left with, and stand apart to be looked at.

    What somebody has looked at already goes into stock again, or is destroyed.
    """
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
    if then == Return.Then.APART:
        place = place if place is not None and place.apart else place_apart()
    elif place is not None and place.apart:
        raise Refused(f"{place} is for what nobody has looked at yet: put it apart.")
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
    number = given_number(number) or next_number(Return)
    free_number(Return, number)
    movement = post(deed, entries)[0]
    return written(
        Return(
            deed=deed,
            number=number,
            line=line,
            movement=movement,
            then=then,
        )
    )
