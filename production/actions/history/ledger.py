"""Goods that come in without a purchase."""

from production.actions import buying
from production.actions.history.words import Act, dated, item_of, new_lot, place_named
from production.actions.workshop import ensure_item
from production.domain import history
from production.models import Item


def replay_opening(event: history.Opening, act: Act) -> None:
    buying.open_stock(
        **dated(event, act),
        item=item_of(event),
        lot=new_lot(event),
        value=event.value,
        place=place_named(event.place),
    )


def replay_tap(event: history.Tap, act: Act) -> None:
    buying.receive_from_tap(
        **dated(event, act),
        item=ensure_item(name=event.item, unit="g", kind=Item.Kind.MATERIAL),
        code=event.lot,
        amount=event.amount,
        value=event.value,
    )
