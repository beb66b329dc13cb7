"""Who has which bottle: the stall, the shop on consignment, the inn, and Canada."""

from datetime import date
from decimal import Decimal

from config.demo.diary import Diary, day, lot, place
from config.demo.workshop import CRATE, INN, LANTERN, MOREAU, People
from production import actions
from production.actions import NewSaleLine
from production.models import Sale

STALL = "Saturday stall"
# Prices by size; on consignment the shop keeps 35 % of retail, foamers wholesale at
# half of retail like the others.
RETAIL = {"8OZ": "14.00", "16OZ": "24.00", "FOAM": "12.00"}
WHOLESALE = {"8OZ": "7.00", "16OZ": "12.00", "FOAM": "6.00"}
CONSIGNED = {"8OZ": "9.10", "16OZ": "15.60", "FOAM": "7.80"}

# Day, to which place, what.
MOVES = (
    (day(1, 30), CRATE, "TIDE-8OZ-1 24, TIDE-16OZ-1 3"),
    (day(2, 10), LANTERN, "TIDE-8OZ-1 12"),
    (day(4, 3), CRATE, "TIDE-8OZ-2 16"),
    (day(4, 14), LANTERN, "TIDE-8OZ-2 4"),
    (day(4, 24), CRATE, "SLIP-FOAM-1 20"),
    (day(4, 28), LANTERN, "SLIP-FOAM-1 8"),
    (day(6, 5), CRATE, "TIDE-8OZ-3 20, TIDE-16OZ-3 3"),
    (day(6, 9), LANTERN, "TIDE-8OZ-3 8"),
    (day(7, 17), CRATE, "TIDE-8OZ-4 18"),
    (day(7, 21), LANTERN, "TIDE-8OZ-4 10, TIDE-16OZ-4 2"),
    (day(8, 28), CRATE, "TIDE-8OZ-5 16"),
    (day(10, 23), CRATE, "TIDE-8OZ-6 20, TIDE-16OZ-6 3"),
    (day(10, 29), LANTERN, "TIDE-8OZ-6 10"),
)
# Saturdays; who came is not known, the day and the channel are.
STALLS = (
    (day(1, 31), "TIDE-8OZ-1 6, TIDE-16OZ-1 1"),
    (day(2, 7), "TIDE-8OZ-1 5"),
    (day(2, 14), "TIDE-8OZ-1 7, TIDE-16OZ-1 2"),
    (day(2, 28), "TIDE-8OZ-1 5"),
    (day(4, 4), "TIDE-8OZ-2 5"),
    (day(4, 18), "TIDE-8OZ-2 6"),
    (day(4, 25), "SLIP-FOAM-1 4"),
    (day(5, 2), "TIDE-8OZ-2 5"),
    (day(5, 9), "SLIP-FOAM-1 5"),
    (day(5, 23), "SLIP-FOAM-1 6"),
    (day(6, 6), "TIDE-8OZ-3 4, SLIP-FOAM-1 4"),
    (day(6, 20), "TIDE-8OZ-3 6, TIDE-16OZ-3 1"),
    (day(7, 4), "TIDE-8OZ-3 9, TIDE-16OZ-3 2"),
    (day(7, 18), "TIDE-8OZ-4 5"),
    (day(8, 1), "TIDE-8OZ-4 6"),
    (day(8, 15), "TIDE-8OZ-4 5"),
    (day(8, 29), "TIDE-8OZ-5 6"),
    (day(9, 12), "TIDE-8OZ-5 5"),
    (day(9, 26), "TIDE-8OZ-5 4"),
    (day(10, 24), "TIDE-8OZ-6 6, TIDE-16OZ-6 1"),
    (day(11, 7), "TIDE-8OZ-6 7, TIDE-16OZ-6 1"),
    (day(11, 14), "TIDE-8OZ-6 5"),
)
# What the shop says it sold, at the end of a month.
REPORTS = (
    (day(2, 28), "TIDE-8OZ-1 4"),
    (day(3, 31), "TIDE-8OZ-1 5"),
    (day(4, 30), "TIDE-8OZ-1 3"),
    (day(5, 31), "TIDE-8OZ-2 4, SLIP-FOAM-1 3"),
    (day(6, 30), "SLIP-FOAM-1 4"),
    (day(7, 31), "TIDE-8OZ-3 5"),
    (day(8, 31), "TIDE-8OZ-4 6, TIDE-16OZ-4 1"),
    (day(10, 31), "TIDE-8OZ-4 3"),
)
DELIVERIES = (
    (day(2, 12), INN, "S-INN-1", "TIDE-16OZ-1 8"),
    (day(3, 26), INN, "S-INN-2", "TIDE-16OZ-2 10"),
    (day(4, 2), MOREAU, "S-MOR-1", "TIDE-8OZ-2 18"),
    (day(4, 23), MOREAU, "S-MOR-2", "SLIP-FOAM-1 20"),
    (day(6, 4), INN, "S-INN-3", "TIDE-16OZ-2 3"),
    (day(6, 11), INN, "S-INN-4", "TIDE-16OZ-3 8"),
    (day(7, 9), MOREAU, "S-MOR-3", "TIDE-8OZ-3 8"),
    (day(8, 6), INN, "S-INN-5", "TIDE-16OZ-4 8"),
    (day(9, 17), MOREAU, "S-MOR-4", "TIDE-8OZ-5 12"),
    (day(9, 24), INN, "S-INN-6", "TIDE-16OZ-5 10"),
    (day(11, 12), INN, "S-INN-7", "TIDE-16OZ-6 8"),
)
# Day, lot, pieces, why, to whom, from where.
GIFTS = (
    (day(1, 31), "TIDE-8OZ-1", 1, "tester", "", CRATE),
    (day(2, 3), "TIDE-8OZ-1", 1, "sample", MOREAU, ""),
    (day(2, 16), "TIDE-8OZ-1", 1, "own use", "Ines Harrow", ""),
    (day(4, 25), "SLIP-FOAM-1", 1, "tester", "", CRATE),
    (day(9, 8), "TIDE-8OZ-5", 2, "gift", "Marrow Point school raffle", ""),
)


def plan(diary: Diary, people: People) -> None:
    for on, to, goods in MOVES:
        diary.on(on, lambda on, to=to, goods=goods: _move(people, on, to, goods))
    for on, name, number, goods in DELIVERIES:
        diary.on(on, _deliver(people, name, number, goods))
    for on, goods in STALLS:
        diary.on(on, lambda on, goods=goods: _stall(people, on, goods))
    for on, goods in REPORTS:
        diary.on(on, lambda on, goods=goods: _report(people, on, goods))
    for on, *gift in GIFTS:
        diary.on(on, lambda on, gift=gift: _give(people, on, *gift))
    diary.on(day(4, 21), lambda on: _five_came_back(people, on))
    diary.on(day(5, 4), lambda on: _typed_twice(people, on))
    diary.on(day(7, 4), lambda on: _dropped(people, on))


def _goods(text: str) -> list[tuple[str, Decimal]]:
    pairs = (one.split() for one in text.split(","))
    return [(code, Decimal(pieces)) for code, pieces in pairs]


def _lines(goods: str, prices: dict[str, str], where: str = "") -> list[NewSaleLine]:
    return [
        NewSaleLine(
            lot(code),
            pieces,
            Decimal(prices[code.split("-")[1]]),
            place(where) if where else None,
        )
        for code, pieces in _goods(goods)
    ]


def _move(people: People, on: date, to: str, goods: str) -> None:
    for code, pieces in _goods(goods):
        actions.move_lot(
            lot=lot(code), amount=pieces, to=place(to), on=on, by=people.wren
        )


def _deliver(people: People, name: str, number: str, goods: str):
    def deliver(on: date) -> None:
        actions.sell(
            lines=_lines(goods, WHOLESALE),
            number=number,
            channel="wholesale",
            customer=actions.ensure_customer(name),
            on=on,
            by=people.ines,
        )

    return deliver


def _stall(people: People, on: date, goods: str) -> Sale:
    return actions.sell(
        lines=_lines(goods, RETAIL, CRATE), channel=STALL, on=on, by=people.wren
    )


def _report(people: People, on: date, goods: str) -> None:
    actions.sell(
        lines=_lines(goods, CONSIGNED, LANTERN),
        channel="consignment",
        customer=actions.ensure_customer(LANTERN),
        on=on,
        by=people.ines,
    )


def _give(people, on, code, pieces, why, recipient, where) -> None:
    actions.give(
        lot=lot(code),
        amount=Decimal(pieces),
        why=why,
        recipient=recipient,
        place=place(where) if where else None,
        on=on,
        by=people.wren,
    )


def _five_came_back(people: People, on: date) -> None:
    """Two pumps leaked; the other three bottles are sound."""
    line = Sale.objects.get(number="S-INN-2").lines.get()
    for pieces, then in (("2", "destroy"), ("3", "restock")):
        actions.take_back(
            line=line,
            amount=Decimal(pieces),
            then=then,
            on=on,
            by=people.ines,
            reason="pumps leaked in the Inn's linen room",
        )


def _typed_twice(people: People, on: date) -> None:
    """Wren wrote the foamers of a Saturday down a second time; she took it back."""
    twice = _stall(people, on, "SLIP-FOAM-1 4")
    actions.undo_deed(
        undone=twice.deed,
        on=on,
        by=people.wren,
        reason="already in the book under the 25th of April",
    )


def _dropped(people: People, on: date) -> None:
    actions.discard(
        lot=lot("TIDE-8OZ-3"),
        amount=Decimal(1),
        place=place(CRATE),
        on=on,
        by=people.wren,
        reason="dropped on the quay",
    )
