"""Goods that come in without a purchase, and what is said of a lot."""

from collections.abc import Callable
from typing import Any

from production.buying.actions import purchases
from production.exchange import domain as history
from production.exchange.actions.naming import (
    Act,
    dated,
    found,
    item_of,
    new_lot,
    place_named,
    signed,
)
from production.release.actions import statuses
from production.stock.models.lots import Status
from production.workshop.actions.cards import ensure_item
from production.workshop.models.items import Item

# What is said of a lot of this very book.
SAID: dict[str, Callable[..., Any]] = {
    Status.Word.RELEASED: statuses.release_lot,
    Status.Word.HELD: statuses.hold_lot,
    Status.Word.REJECTED: statuses.reject_lot,
}


def replay_opening(event: history.Opening, act: Act) -> None:
    purchases.open_stock(
        **dated(event, act),
        item=item_of(event),
        lot=new_lot(event, act),
        value=event.value,
        place=place_named(event.place),
    )


def replay_tap(event: history.Tap, act: Act) -> None:
    purchases.receive_from_tap(
        **dated(event, act),
        item=ensure_item(name=event.item, unit="g", kind=Item.Kind.MATERIAL),
        code=event.lot,
        amount=event.amount,
        value=event.value,
    )


def replay_status(event: history.Status, act: Act) -> None:
    facts = found(event) | signed(act)
    if act["past"]:
        statuses.record_status(**facts)
    elif (word := facts.pop("status")) in SAID:
        SAID[word](**facts)
    else:
        raise event.fault(f"'status' is {', '.join(SAID)}.")
