"""What an hour, power and a year's overhead cost, told as events."""

from collections.abc import Iterator

from production.exchange import domain as history
from production.exchange.reads.events import Told, told_of
from production.record.domain.keys import Event
from production.record.models.ink import WhileItsDeedStands
from production.workshop.models.rates import (
    Equipment,
    HourRate,
    Overhead,
    OverheadPaid,
    Tariff,
)

RATES: dict[type[WhileItsDeedStands], type[Event]] = {
    HourRate: history.HourRate,
    Tariff: history.Tariff,
    Overhead: history.Overhead,
    OverheadPaid: history.OverheadPaid,
}


def equipment_cards() -> Iterator[Event]:
    for row in Equipment.objects.order_by("name"):
        yield told_of(history.Equipment, row)


def rate_events() -> Iterator[Told]:
    for model, kind in RATES.items():
        for row in model.objects.select_related("deed").order_by("pk"):
            yield Told(row.deed.on, row.deed_id, 1, told_of(kind, row))
