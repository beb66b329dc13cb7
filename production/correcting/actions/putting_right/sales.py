"""What a sale or a gift said wrong: to whom, when, for how much."""

from django.db.models import Q

from production.correcting.actions.putting_right.shape import (
    Change,
    redate,
    refuse_closed_days,
)
from production.fitness.actions.guards import may_go
from production.fitness.domain.reasons import Purpose
from production.lots.actions.lot_deeds import handed_over
from production.quantities.domain.refusal import Refused
from production.record.domain.text import PAST
from production.selling.domain.sales_tax import refuse_odd_rate, refuse_odd_tax
from production.selling.models import Sale
from production.stock.actions.freed_codes import free_number
from production.stock.actions.opening_lots import given_number
from production.stock.models.lots import Movement

KIND = Movement.Kind


def judge_sale(change: Change) -> None:
    if "number" in change:
        number = change.now("number")
        if not given_number(number or ""):
            raise Refused("Write the number of the sale.")
        free_number(Sale, number, but=change.thing)
    if change.now("customer") is None and not (change.now("channel") or "").strip():
        raise Refused("Say who bought it, or through which channel it was sold.")
    if change.now("on") is None:
        raise Refused("Write the day of the sale.")
    refuse_odd_rate(change.now("tax_rate"))
    refuse_closed_days(change, "on")


def carry_sale(change: Change) -> None:
    """Sold on another day: fit on that day, there on that day, back only after it."""
    if "on" not in change:
        return
    _, on = change.figures["on"]
    sold = Movement.objects.standing().filter(
        sale_line__sale=change.thing, kind=KIND.SOLD
    )
    movements = list(
        sold.select_related("lot__item", "place", "sale_line").order_by("id")
    )
    lines = [movement.sale_line_id for movement in movements]
    back = Movement.objects.standing().filter(
        sale_line__in=lines, kind=KIND.RETURNED, on__lt=on
    )
    if back.exists():
        raise Refused(
            f"Some of {change.thing} came back on {back.order_by('on')[0].on}: it was "
            "sold then or before."
        )
    past = change.thing.deed.key.startswith(PAST)
    lots = [movement.lot for movement in movements]
    may_go(change.deed, lots, Purpose.SALE, on=on, past=past)
    redate(change.deed, movements, on)


def judge_line(change: Change) -> None:
    price = change.now("unit_price")
    if price is not None and price < 0:
        raise Refused("A price is not below zero.")
    deposit = change.now("deposit")
    if deposit is not None and deposit < 0:
        raise Refused("A deposit is not below zero.")
    refuse_odd_tax(str(change.thing), change.now("tax"))


def judge_given(change: Change) -> None:
    """Naming somebody makes a sample a gift: it is asked about like one."""
    line = Q(pk=change.thing.movement_id) | Q(root=change.thing.movement_id)
    entry = Movement.objects.standing().filter(line).select_related("lot", "deed")
    entry = entry.first()
    if entry is None:
        raise Refused("This entry was taken back: nothing of it is put right.")
    before, now = change.figures["recipient"]
    why = change.thing.why
    if handed_over(why, now) and not handed_over(why, before):
        past = entry.deed.key.startswith(PAST)
        may_go(change.deed, [entry.lot], Purpose.GIFT, on=entry.on, past=past)
