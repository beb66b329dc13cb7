"""The stock book's own entries."""

from typing import Any

from production.actions import buying, counting, days, fragrance, statuses, stock
from production.actions.history.words import (
    batch_named,
    dated,
    item_of,
    lot_named,
    new_lot,
    place_named,
    shares_of,
)
from production.actions.workshop import ensure_item, ensure_place
from production.domain.history import Event
from production.models import Item, Status

# What is said of a lot of this very book.
SAID = {
    Status.Word.RELEASED: statuses.release_lot,
    Status.Word.HELD: statuses.hold_lot,
    Status.Word.REJECTED: statuses.reject_lot,
}


def replay_loss(event: Event, act: dict[str, Any]) -> None:
    stock.discard(
        **dated(event, act),
        lot=lot_named(event),
        amount=event.number("amount"),
        place=place_named(event),
    )


def replay_count(event: Event, act: dict[str, Any]) -> None:
    counting.count_lot(
        **dated(event, act),
        lot=lot_named(event),
        difference=event.number("difference"),
        found=event.maybe("found"),
        place=place_named(event),
        batch=batch_named(event) if event.words("batch") else None,
        past=act["past"],
    )


def replay_reweigh(event: Event, act: dict[str, Any]) -> None:
    stock.reweigh_lot(
        **dated(event, act),
        lot=lot_named(event),
        difference=event.number("difference"),
        found=event.maybe("found"),
        place=place_named(event),
        past=act["past"],
    )


def replay_given(event: Event, act: dict[str, Any]) -> None:
    stock.give(
        **dated(event, act),
        lot=lot_named(event),
        amount=event.number("amount"),
        why=event.text("why"),
        recipient=event.text("recipient", ""),
        place=place_named(event),
        past=act["past"],
    )


def replay_move(event: Event, act: dict[str, Any]) -> None:
    stock.move_lot(
        **dated(event, act),
        lot=lot_named(event),
        amount=event.number("amount"),
        place=place_named(event, "from"),
        to=ensure_place(event.text("to")),
        past=act["past"],
    )


def replay_status(event: Event, act: dict[str, Any]) -> None:
    about, status = {**dated(event, act), "lot": lot_named(event)}, event.text("status")
    if act["past"]:
        statuses.record_status(**about, status=status)
    elif status in SAID:
        SAID[status](**about)
    else:
        raise event.fault(f"'status' is {', '.join(SAID)}.")


def replay_open_pack(event: Event, act: dict[str, Any]) -> None:
    open_pack = days.record_open_pack if act["past"] else days.open_pack
    open_pack(**dated(event, act), lot=lot_named(event))


def replay_document(event: Event, act: dict[str, Any]) -> None:
    fragrance.note_document(
        **dated(event, act),
        lot=lot_named(event),
        edition=event.text("edition"),
        dated=event.maybe_day("dated"),
        flash_point=event.maybe("flash_point"),
        vanillin=event.maybe("vanillin"),
        most=event.maybe("most"),
        constituents=shares_of(event),
    )


def replay_opening(event: Event, act: dict[str, Any]) -> None:
    buying.open_stock(
        **dated(event, act),
        item=item_of(event, Item.Kind.MATERIAL),
        lot=new_lot(event, event.text("lot"), act),
        value=event.maybe("value"),
        place=place_named(event),
    )


def replay_tap(event: Event, act: dict[str, Any]) -> None:
    buying.receive_from_tap(
        **dated(event, act),
        item=ensure_item(name=event.text("item"), unit="g", kind=Item.Kind.MATERIAL),
        code=event.text("lot"),
        amount=event.number("amount"),
        value=event.number("value"),
    )


def replay_closing(event: Event, act: dict[str, Any]) -> None:
    stock.close_book(
        **dated(event, act),
        through=event.day("through"),
        statement=event.text("statement", ""),
        past=act["past"],
    )
