"""What a purchase, its lines, its bills and opening stock said wrong."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from production.buying.actions.purchases import (
    ensure_rate,
    refuse_wrong_sign,
    refuse_wrong_tax,
    set_price,
)
from production.buying.models import Purchase
from production.correcting.actions.putting_right.shape import Change, redate
from production.quantities.domain.refusal import Refused
from production.record.actions.people import not_above_oneself
from production.stock.actions.freed_codes import free_number
from production.stock.actions.opening_lots import given_number, set_status
from production.stock.models.lots import Movement

KIND = Movement.Kind
PRICES = ("price", "tax", "recoverable_tax")


def judge_purchase(change: Change) -> None:
    if "number" in change:
        number = change.now("number")
        if not given_number(number or ""):
            raise Refused("Write the number of the invoice.")
    if {"number", "supplier"} & change.figures.keys():
        number, supplier = change.now("number"), change.now("supplier")
        free_number(Purchase, number, but=change.thing, supplier=supplier)
    if change.now("rate") is None or change.now("rate") <= 0:
        raise Refused("The rate of an invoice is above zero; 1 in your own money.")
    if change.now("arrived") is None:
        raise Refused("Write the day on which it arrived.")


def carry_purchase(change: Change) -> None:
    """Goods that arrived on another day: their entries follow, in the same state."""
    if "arrived" not in change:
        return
    before, on = change.figures["arrived"]
    came = Movement.objects.standing().filter(
        kind=KIND.RECEIVED, lot__line__purchase=change.thing, on=before
    )
    movements = list(came.select_related("lot__item", "place").order_by("id"))
    redate(change.deed, movements, on)
    for movement in movements:
        first = movement.lot.statuses.order_by("on", "id").first()
        if first is not None and on < first.on:
            set_status(change.deed, movement.lot, first.status, on=on)


def judge_line(change: Change) -> None:
    if "item" in change:
        raise Refused(
            "Which item it is, is put right on the page of the lot that arrived."
        )
    weight = change.now("shipping_weight")
    if weight is not None and weight < 0:
        raise Refused("A shipping weight is not below zero.")


def price_anew(change: Change, prices: Mapping[str, Any]) -> bool:
    """Write the price that a line really had; the latest one counts."""
    latest = change.thing.prices.select_related("deed__by").last()
    zero = Decimal(0)
    stood = {name: getattr(latest, name) if latest else None for name in PRICES}
    wanted = {**stood, **prices}
    if wanted == stood:
        return False
    if wanted["price"] is None:
        raise Refused(
            f"{change.thing}: write what the line cost. A price that is in the book is "
            "not left open again; take its entry back instead."
        )
    if latest is not None:
        not_above_oneself(change.deed.by, latest.deed)
    taxes = (wanted["tax"] or zero, wanted["recoverable_tax"] or zero)
    set_price(change.deed, change.thing, wanted["price"], *taxes)
    return True


def judge_extra(change: Change) -> None:
    if change.now("amount") is None or not change.now("amount"):
        raise Refused(
            "Write the right amount. A bill that never came is taken back as a whole."
        )
    kind, tax = change.now("kind"), change.now("recoverable_tax")
    refuse_wrong_sign(kind, change.now("amount"))
    refuse_wrong_tax(kind, tax)
    ensure_rate(change.thing.purchase, *map(change.now, ("kind", "currency", "rate")))
    if change.now("invoiced") is None:
        raise Refused("Write the day of the bill.")


def judge_value(change: Change) -> None:
    """Only opening stock and the tap carry a value of their own."""
    entry = change.thing
    bought = entry.kind == KIND.RECEIVED and entry.lot.line_id is None
    if not (entry.kind == KIND.OPENING or bought):
        raise Refused(
            "This entry carries no value of its own: a price is put right on its "
            "purchase."
        )
    if not Movement.objects.standing().filter(pk=entry.pk).exists():
        raise Refused("This entry was taken back: nothing of it is put right.")
    value = change.now("value")
    if value is not None and value < 0:
        raise Refused("Opening stock is not worth less than nothing.")
