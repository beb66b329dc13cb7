"""Purchases and sales."""

from production.buying.actions import payments, purchases, sending_back
from production.buying.actions.suppliers import ensure_supplier
from production.buying.models import Purchase
from production.buying.reads.owed import credited
from production.exchange import domain as history
from production.exchange.actions.naming import (
    Act,
    dated,
    item_of,
    lot_named,
    new_lot,
    place_named,
)
from production.exchange.domain.trade import NotStocked, OneLot, SeveralLots
from production.record.domain.keys import said
from production.selling.actions import deposits, returns, sales
from production.selling.actions import payments as sale_payments
from production.selling.actions.customers import ensure_customer
from production.selling.models import Return, Sale
from production.stock.actions.place_rules import place_apart
from production.workshop.actions.cards import ensure_item
from production.workshop.models.items import Item


def replay_purchase(event: history.Purchase, act: Act) -> None:
    purchases.record_purchase(
        **dated(event, act),
        number=event.number,
        supplier=ensure_supplier(event.supplier),
        extra_costs=[purchases.NewExtra(**said(part)) for part in event.extra_costs],
        lines=[_purchase_line(part, act) for part in event.lines],
        ordered=event.ordered,
        invoiced=event.invoiced,
        currency=event.currency,
        rate=event.rate,
        place=place_named(event.place),
    )


def _purchase_line(
    part: OneLot | SeveralLots | NotStocked, act: Act
) -> purchases.NewLine:
    costs = {**said(part.price), "text": part.text}
    if isinstance(part, NotStocked):
        return purchases.NewLine(item=None, **costs)
    lots = part.lots if isinstance(part, SeveralLots) else [part]
    item = item_of(part)
    return purchases.NewLine(
        item=item, lots=[new_lot(one, act) for one in lots], **costs
    )


def _purchase_of(event: history.LaterBill) -> Purchase:
    number, supplier = event.purchase, event.supplier
    found = Purchase.objects.standing().filter(number=number)
    if supplier:
        found = found.filter(supplier__name=supplier)
    rows = list(found[:2])
    if not rows:
        raise event.fault(f"there is no purchase {number} yet.")
    if len(rows) > 1:
        raise event.fault(f"two suppliers sent a {number}: name the 'supplier'.")
    return rows[0]


def replay_price(event: history.LatePrice, act: Act) -> None:
    line = _purchase_of(event).lines.filter(position=event.line).first()
    if line is None:
        raise event.fault(f"the purchase has no line {event.line}.")
    purchases.price_line(
        **dated(event, act),
        line=line,
        price=event.price,
        tax=event.tax,
        recoverable_tax=event.recoverable_tax,
    )


def replay_extra_cost(event: history.ExtraCost, act: Act) -> None:
    facts = said(event.extra)
    purchases.add_extra_cost(
        **dated(event, act),
        purchase=_purchase_of(event),
        by_basis=facts.pop("by"),
        invoiced=event.invoiced,
        **facts,
    )


def replay_bill_paid(event: history.BillPaid, act: Act) -> None:
    payments.pay_bill(
        **dated(event, act),
        purchase=_purchase_of(event),
        amount=event.amount,
        settles=event.settles,
        sure=True,
    )


def replay_credit(event: history.Credit, act: Act) -> None:
    lot = lot_named(event, event.lot)
    found = credited([lot.pk])[event.sending - 1 : event.sending]
    if event.sending < 1 or not found:
        raise event.fault(f"{lot} was not sent back {event.sending} times yet.")
    sending_back.note_credit(
        **dated(event, act),
        sent=found[0].sent,
        credit=event.credit,
        recoverable_tax=event.recoverable_tax,
        note=event.note,
    )


def replay_sale_paid(event: history.SalePaid, act: Act) -> None:
    sale = Sale.objects.standing().filter(number=event.sale).first()
    if sale is None:
        raise event.fault(f"there is no sale {event.sale} yet.")
    sale_payments.pay_sale(
        **dated(event, act),
        sale=sale,
        amount=event.amount,
        settles=event.settles,
        sure=True,
    )


def replay_sale(event: history.Sale, act: Act) -> None:
    sales.sell(
        **dated(event, act),
        number=event.number,
        channel=event.channel,
        customer=ensure_customer(event.customer) if event.customer else None,
        tax_rate=event.tax_rate,
        tax_is=event.tax_is,
        lines=[
            sales.NewSaleLine(
                lot=lot_named(part, part.lot),
                amount=part.amount,
                unit_price=part.unit_price,
                tax=part.tax,
                place=place_named(part.place),
                deposit=part.deposit,
            )
            for part in event.lines
        ],
        past=act["past"],
    )


def replay_return(event: history.Return, act: Act) -> None:
    sale = Sale.objects.standing().filter(number=event.sale).first()
    line = sale and sale.lines.filter(position=event.line).first()
    if line is None:
        raise event.fault(f"there is no line {event.line} of a sale {event.sale} yet.")
    if line.lot != lot_named(event, event.lot):
        raise event.fault(f"{line} sold {line.lot}, not {event.lot}.")
    apart = event.then == Return.Then.APART
    place = place_apart(event.place or "") if apart else place_named(event.place)
    sales.take_back(
        **dated(event, act),
        number=event.number,
        line=line,
        amount=event.amount,
        then=event.then,
        place=place,
    )


def replay_look(event: history.Look, act: Act) -> None:
    back = Return.objects.standing().filter(number=event.back).first()
    if back is None:
        raise event.fault(f"there is no return {event.back} yet.")
    returns.look_at_return(
        **dated(event, act),
        back=back,
        seen=event.seen,
        amount=event.amount,
        place=place_named(event.place),
    )


def replay_empties(event: history.EmptyBack, act: Act) -> None:
    deposits.take_empties_back(
        **dated(event, act),
        item=ensure_item(name=event.item, unit="piece", kind=Item.Kind.PACKAGING),
        amount=event.amount,
        deposit=event.deposit,
        customer=ensure_customer(event.customer) if event.customer else None,
        channel=event.channel,
        value=event.value,
        code=event.lot,
        place=place_named(event.place),
        past=act["past"],
    )
