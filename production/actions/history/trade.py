"""Purchases and sales."""

from decimal import Decimal
from typing import Any

from production.actions import buying, returns, sales
from production.actions.apart import place_apart
from production.actions.history.words import (
    dated,
    item_of,
    lot_named,
    new_lot,
    place_named,
)
from production.actions.lots import NewLot
from production.actions.workshop import ensure_customer, ensure_supplier
from production.domain.history import Event
from production.models import Item, Purchase, Return, Sale

ZERO = Decimal(0)


def replay_purchase(event: Event, act: dict[str, Any]) -> None:
    extras = []
    for part in event.parts("extra_costs", []):
        extras.append(
            buying.NewExtra(
                kind=part.text("kind"),
                amount=part.number("amount"),
                by=part.text("by"),
                currency=part.text("currency", ""),
                rate=part.maybe("rate"),
            )
        )
        part.done()
    lines = [_purchase_line(part, act) for part in event.parts("lines")]
    buying.record_purchase(
        **dated(event, act),
        number=event.text("number"),
        supplier=ensure_supplier(event.text("supplier")),
        extra_costs=extras,
        lines=lines,
        ordered=event.maybe_day("ordered"),
        invoiced=event.maybe_day("invoiced"),
        currency=event.text("currency", ""),
        rate=event.maybe("rate"),
        place=place_named(event),
    )


def _purchase_line(part: Event, act: dict[str, Any]) -> buying.NewLine:
    price = part.maybe("price")
    facts = {
        "price": price,
        "tax": part.number("tax", ZERO),
        "recoverable_tax": part.number("recoverable_tax", ZERO),
        "shipping_weight": part.maybe("shipping_weight"),
        "text": part.text("text", ""),
    }
    if part.words("item") is None:
        part.done()
        return buying.NewLine(item=None, **facts)
    item = item_of(part, Item.Kind.MATERIAL)
    if "lots" in part.facts:
        lots = [_line_lot(piece, act) for piece in part.parts("lots")]
    else:
        lots = [new_lot(part, part.text("lot"), act)]
    part.done()
    return buying.NewLine(item=item, lots=lots, **facts)


def _line_lot(piece: Event, act: dict[str, Any]) -> NewLot:
    new = new_lot(piece, piece.text("lot"), act)
    piece.done()
    return new


def _purchase_of(event: Event) -> Purchase:
    number = event.text("purchase")
    supplier = event.text("supplier", "")
    found = Purchase.objects.standing().filter(number=number)
    if supplier:
        found = found.filter(supplier__name=supplier)
    rows = list(found[:2])
    if not rows:
        raise event.fault(f"there is no purchase {number} yet.")
    if len(rows) > 1:
        raise event.fault(f"two suppliers sent a {number}: name the 'supplier'.")
    return rows[0]


def replay_price(event: Event, act: dict[str, Any]) -> None:
    position = event.whole("line")
    line = _purchase_of(event).lines.filter(position=position).first()
    if line is None:
        raise event.fault(f"the purchase has no line {position}.")
    buying.price_line(
        **dated(event, act),
        line=line,
        price=event.number("price"),
        tax=event.number("tax", ZERO),
        recoverable_tax=event.number("recoverable_tax", ZERO),
    )


def replay_extra_cost(event: Event, act: dict[str, Any]) -> None:
    buying.add_extra_cost(
        **dated(event, act),
        purchase=_purchase_of(event),
        kind=event.text("kind"),
        amount=event.number("amount"),
        by_basis=event.text("by"),
        invoiced=event.maybe_day("invoiced"),
        currency=event.text("currency", ""),
        rate=event.maybe("rate"),
    )


def replay_sale(event: Event, act: dict[str, Any]) -> None:
    lines = []
    for part in event.parts("lines"):
        lines.append(
            sales.NewSaleLine(
                lot=lot_named(part),
                amount=part.number("amount"),
                unit_price=part.maybe("unit_price"),
                place=place_named(part),
            )
        )
        part.done()
    customer = event.words("customer")
    sales.sell(
        **dated(event, act),
        number=event.text("number"),
        channel=event.text("channel", ""),
        customer=ensure_customer(customer) if customer else None,
        lines=lines,
        past=act["past"],
    )


def replay_return(event: Event, act: dict[str, Any]) -> None:
    number, position = event.text("sale"), event.whole("line")
    sale = Sale.objects.standing().filter(number=number).first()
    line = sale and sale.lines.filter(position=position).first()
    if line is None:
        raise event.fault(f"there is no line {position} of a sale {number} yet.")
    if line.lot != lot_named(event):
        raise event.fault(f"{line} sold {line.lot}, not {event.text('lot')}.")
    then = event.text("then")
    apart = then == Return.Then.APART
    sales.take_back(
        **dated(event, act),
        number=event.text("number"),
        line=line,
        amount=event.number("amount"),
        then=then,
        place=place_apart(event.text("place", "")) if apart else place_named(event),
    )


def replay_look(event: Event, act: dict[str, Any]) -> None:
    number = event.text("return")
    back = Return.objects.standing().filter(number=number).first()
    if back is None:
        raise event.fault(f"there is no return {number} yet.")
    returns.look_at_return(
        **dated(event, act),
        back=back,
        seen=event.text("seen"),
        amount=event.number("amount"),
        place=place_named(event),
    )
