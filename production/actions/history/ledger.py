"""The stock book's own entries."""

from production.actions import buying, counting, days, fragrance, statuses, stock
from production.actions.history.words import (
    Act,
    batch_named,
    dated,
    item_of,
    new_lot,
    of_lot,
    place_named,
    replay,
)
from production.actions.workshop import ensure_item, ensure_place
from production.domain import history
from production.models import Item


@replay.register
def replay_loss(event: history.Loss, act: Act) -> None:
    stock.discard(
        **of_lot(event, act), amount=event.amount, place=place_named(event.place)
    )


@replay.register
def replay_count(event: history.Count, act: Act) -> None:
    counting.count_lot(
        **of_lot(event, act),
        difference=event.difference,
        found=event.found,
        place=place_named(event.place),
        batch=batch_named(event, event.batch) if event.batch else None,
        past=True,
    )


@replay.register
def replay_reweigh(event: history.Reweigh, act: Act) -> None:
    stock.reweigh_lot(
        **of_lot(event, act),
        difference=event.difference,
        found=event.found,
        place=place_named(event.place),
        past=True,
    )


@replay.register
def replay_given(event: history.Given, act: Act) -> None:
    stock.give(
        **of_lot(event, act),
        amount=event.amount,
        why=event.why,
        recipient=event.recipient,
        place=place_named(event.place),
        past=True,
    )


@replay.register
def replay_move(event: history.Move, act: Act) -> None:
    stock.move_lot(
        **of_lot(event, act),
        amount=event.amount,
        place=place_named(event.source),
        to=ensure_place(event.to),
        past=True,
    )


@replay.register
def replay_status(event: history.Status, act: Act) -> None:
    statuses.record_status(**of_lot(event, act), status=event.status)


@replay.register
def replay_open_pack(event: history.OpenPack, act: Act) -> None:
    days.record_open_pack(**of_lot(event, act))


@replay.register
def replay_document(event: history.FragranceDocument, act: Act) -> None:
    fragrance.note_document(
        **of_lot(event, act),
        edition=event.edition,
        dated=event.dated,
        flash_point=event.flash_point,
        vanillin=event.vanillin,
        most=event.most,
        constituents=event.constituents,
    )


@replay.register
def replay_opening(event: history.Opening, act: Act) -> None:
    buying.open_stock(
        **dated(event, act),
        item=item_of(event),
        lot=new_lot(event),
        value=event.value,
        place=place_named(event.place),
    )


@replay.register
def replay_tap(event: history.Tap, act: Act) -> None:
    buying.receive_from_tap(
        **dated(event, act),
        item=ensure_item(name=event.item, unit="g", kind=Item.Kind.MATERIAL),
        code=event.lot,
        amount=event.amount,
        value=event.value,
    )


@replay.register
def replay_closing(event: history.Closing, act: Act) -> None:
    stock.close_book(
        **dated(event, act),
        through=event.through,
        statement=event.statement,
        past=True,
    )
