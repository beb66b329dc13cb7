"""Goods come in: what was bought, at what price, with whose freight."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.buying.domain.bills import currency_of, rate_of_bill, rate_of_invoice
from production.buying.models import (
    ExtraCost,
    LinePrice,
    Purchase,
    PurchaseLine,
    Supplier,
)
from production.quantities.domain.numbers import money, plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed, written
from production.record.actions.odd_dates import ask_expiry, ask_papers
from production.record.models.ink import Deed
from production.record.models.workshop import Workshop
from production.stock.actions.freed_codes import free_number
from production.stock.actions.opening_lots import (
    NewLot,
    given_number,
    next_number,
    open_lot,
    set_status,
)
from production.stock.actions.posting import Entry, post
from production.stock.models.lots import Lot, Movement, Status
from production.workshop.models.items import Item
from production.workshop.models.places import Place

KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class NewLine:
    """A line of an invoice. ``price`` is the line's total, None while unknown.

    A line without an item is not stocked: it only makes the invoice add up.
    """

    item: Item | None
    lots: Sequence[NewLot] = ()
    price: Decimal | None = None
    tax: Decimal = Decimal(0)
    recoverable_tax: Decimal = Decimal(0)
    shipping_weight: Decimal | None = None
    text: str = ""


@dataclass(frozen=True, slots=True)
class NewExtra:
    """``currency`` "" is that of the invoice, ``rate`` None the invoice's rate."""

    kind: str
    amount: Decimal
    by: str = ExtraCost.By.WEIGHT
    currency: str = ""
    rate: Decimal | None = None
    recoverable_tax: Decimal = Decimal(0)


def _own_currency(beside: str) -> str:
    """The workshop's money, where a bill names a currency that it may differ from."""
    if not beside:
        return ""
    return Workshop.objects.values_list("currency", flat=True).first() or "USD"


@deed("record a purchase", gives=Purchase)
def record_purchase(
    deed: Deed,
    *,
    supplier: Supplier,
    lines: Sequence[NewLine],
    extra_costs: Sequence[NewExtra] = (),
    number: str = "",
    ordered: date | None = None,
    invoiced: date | None = None,
    currency: str = "",
    rate: Decimal | None = None,
    place: Place | None = None,
    sure: bool = False,
) -> Purchase:
    """Write an arrival down: lines, their lots, and the extra costs known so far.

    ``currency`` and ``rate`` are those of the invoice: ``rate`` of the workshop's
    money for one of its own, 1 where nobody says otherwise. ``sure``: its dates were
    read again where they cannot well be so.
    """
    if not lines:
        raise Refused("A purchase needs at least one line.")
    ask_papers(deed, on=deed.on, ordered=ordered, invoiced=invoiced, sure=sure)
    ask_expiry(deed, (lot.expires for line in lines for lot in line.lots), sure=sure)
    currency = currency_of(currency)
    number = given_number(number) or next_number(Purchase)
    free_number(Purchase, number, supplier=supplier)
    purchase = written(
        Purchase(
            deed=deed,
            number=number,
            supplier=supplier,
            ordered=ordered,
            arrived=deed.on,
            invoiced=invoiced,
            currency=currency,
            rate=rate_of_invoice(currency, rate, _own_currency(currency)),
        )
    )
    entries: list[Entry] = []
    for position, line in enumerate(lines, start=1):
        entries += _add_line(deed, purchase, position, line, place)
    for extra in extra_costs:
        _add_extra(deed, purchase, extra, deed.on)
    post(deed, entries)
    return purchase


def _add_line(
    deed: Deed, purchase: Purchase, position: int, line: NewLine, place: Place | None
) -> list[Entry]:
    if line.item is not None and not line.lots:
        raise Refused(f"Line {position}, {line.item}: write how much arrived.")
    if any(lot.amount <= 0 for lot in line.lots):
        raise Refused(f"Line {position}: what arrived is more than nothing.")
    if line.item is None and (line.lots or not line.text.strip()):
        raise Refused(f"Line {position}: say what item arrived, or what was billed.")
    if line.shipping_weight is not None and line.shipping_weight < 0:
        raise Refused(f"Line {position}: a shipping weight is not below zero.")
    row = written(
        PurchaseLine(
            deed=deed,
            purchase=purchase,
            position=position,
            item=line.item,
            text=line.text,
            amount=sum((lot.amount for lot in line.lots), Decimal(0)) or None,
            shipping_weight=line.shipping_weight,
        )
    )
    if line.price is not None:
        set_price(deed, row, line.price, line.tax, line.recoverable_tax)
    if line.item is None:
        return []
    return [
        Entry(
            lot=_receive(deed, line.item, new, row),
            amount=new.amount,
            kind=KIND.RECEIVED,
            on=deed.on,
            place=place,
            typed=new.typed,
        )
        for new in line.lots
    ]


def _receive(deed: Deed, item: Item, new: NewLot, row: PurchaseLine) -> Lot:
    lot = open_lot(deed, item, new, line=row)
    waits = Status.Word.QUARANTINE if item.needs_check else Status.Word.RELEASED
    set_status(deed, lot, new.status or waits)
    return lot


def set_price(
    deed: Deed, line: PurchaseLine, price: Decimal, tax: Decimal, recoverable: Decimal
) -> None:
    if min(price, tax, recoverable) < 0:
        raise Refused(
            f"Line {line.position} has a negative price. A rebate is an extra cost of "
            "the kind credit."
        )
    written(
        LinePrice(
            deed=deed, line=line, price=price, tax=tax, recoverable_tax=recoverable
        )
    )


def _add_extra(deed: Deed, purchase: Purchase, extra: NewExtra, on: date) -> ExtraCost:
    refuse_wrong_sign(extra.kind, extra.amount)
    refuse_wrong_tax(extra.kind, extra.recoverable_tax)
    currency, what = currency_of(extra.currency), extra.kind.capitalize()
    return written(
        ExtraCost(
            deed=deed,
            purchase=purchase,
            kind=extra.kind,
            amount=extra.amount,
            recoverable_tax=extra.recoverable_tax,
            by=extra.by,
            invoiced=on,
            currency=currency,
            rate=rate_of_bill(
                what, currency, extra.rate, purchase.currency, _own_currency(currency)
            ),
        )
    )


def ensure_rate(
    purchase: Purchase, kind: str, currency: str, rate: Decimal | None
) -> None:
    """Refuse a bill whose currency and rate do not go together."""
    own = _own_currency(currency)
    meant = rate_of_bill(kind.capitalize(), currency, rate, purchase.currency, own)
    if meant != rate:
        raise Refused(
            f"{kind.capitalize()} is in {own}, your own money: write 1 for it."
        )


def refuse_wrong_sign(kind: str, amount: Decimal) -> None:
    if (amount < 0) != (kind == ExtraCost.Kind.CREDIT):
        raise Refused(
            f"{kind.capitalize()} of {plain(amount)}: a credit is written "
            "with a minus, every other extra cost without."
        )


def refuse_wrong_tax(kind: str, tax: Decimal | None) -> None:
    """Tax that comes back beside a bill; of a credit it goes back again."""
    if tax and (tax < 0) != (kind == ExtraCost.Kind.CREDIT):
        raise Refused(
            f"Tax of {plain(tax)} that comes back: of a credit it is written with a "
            "minus, of every other extra cost without."
        )


@deed("price a line", gives=LinePrice)
def price_line(
    deed: Deed,
    *,
    line: PurchaseLine,
    price: Decimal,
    tax: Decimal = Decimal(0),
    recoverable_tax: Decimal = Decimal(0),
) -> LinePrice:
    """Say what a line cost, later than its goods or better than before."""
    if not PurchaseLine.objects.standing().filter(pk=line.pk).exists():
        raise Refused(f"{line} was taken back: it has no price any more.")
    set_price(deed, line, price, tax, recoverable_tax)
    return line.prices.get(deed=deed)


@deed("add an extra cost", gives=ExtraCost)
def add_extra_cost(
    deed: Deed,
    *,
    purchase: Purchase,
    kind: str,
    amount: Decimal,
    by_basis: str = ExtraCost.By.WEIGHT,
    recoverable_tax: Decimal = Decimal(0),
    invoiced: date | None = None,
    currency: str = "",
    rate: Decimal | None = None,
    sure: bool = False,
) -> ExtraCost:
    """Book a bill that came after the goods; everything downstream is re-valued."""
    if not Purchase.objects.standing().filter(pk=purchase.pk).exists():
        raise Refused(f"{purchase} was taken back: nothing is left to carry a cost.")
    arrived = purchase.arrived
    ask_papers(deed, on=arrived, ordered=None, invoiced=invoiced, sure=sure)
    extra = NewExtra(kind, amount, by_basis, currency, rate, recoverable_tax)
    return _add_extra(deed, purchase, extra, invoiced or deed.on)


@deed("open stock", moves_goods=True, gives=Lot)
def open_stock(
    deed: Deed,
    *,
    item: Item,
    lot: NewLot,
    value: Decimal | None = None,
    place: Place | None = None,
    sure: bool = False,
) -> Lot:
    """Take in what was there before the book began; ``value`` None is unknown.

    It may have expired by then; ``sure``: a date far off was read again.
    """
    if lot.expires is not None and lot.expires >= deed.on:
        ask_expiry(deed, [lot.expires], sure=sure)
    if value is not None and value < 0:
        raise Refused("Opening stock is not worth less than nothing.")
    if lot.amount <= 0:
        raise Refused("Opening stock is more than nothing: write how much there was.")
    row = open_lot(deed, item, lot)
    set_status(deed, row, lot.status or Status.Word.RELEASED)
    entry = Entry(
        lot=row,
        amount=lot.amount,
        kind=KIND.OPENING,
        on=deed.on,
        place=place,
        value=value,
        typed=lot.typed,
    )
    post(deed, [entry])
    return row


def draw_from_tap(deed: Deed, item: Item, amount: Decimal, on: date) -> Lot:
    """Receive an on-tap item for one use, at its metered price or for nothing."""
    if not item.on_tap:
        raise Refused(f"{item} is not on tap. Choose the lot that it comes from.")
    value = money((item.tap_price or Decimal(0)) * amount / 1000)
    return _from_tap(deed, item, NewLot(amount=amount), value, on)


@deed("receive from the tap", moves_goods=True, gives=Lot)
def receive_from_tap(
    deed: Deed, *, item: Item, code: str, amount: Decimal, value: Decimal
) -> Lot:
    """Take over what an earlier book drew from the tap, under its own code."""
    return _from_tap(deed, item, NewLot(amount=amount, code=code), value, deed.on)


def _from_tap(deed: Deed, item: Item, new: NewLot, value: Decimal, on: date) -> Lot:
    row = open_lot(deed, item, new)
    set_status(deed, row, Status.Word.RELEASED, on=on)
    entry = Entry(lot=row, amount=new.amount, kind=KIND.RECEIVED, on=on, value=value)
    post(deed, [entry])
    return row
