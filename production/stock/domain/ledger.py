"""The book in its order: what falls below zero, and which lots to take from."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused


@dataclass(frozen=True, slots=True)
class Entry:
    """One signed change of a lot at a place; ``note`` says it in words."""

    id: int
    on: date
    rank: int
    lot: str
    place: str
    amount: Decimal
    note: str


@dataclass(frozen=True, slots=True)
class Shortfall:
    """The entry with which a lot at a place fell ``short`` by so much."""

    lot: str
    place: str
    on: date
    short: Decimal
    entry: Entry


@dataclass(frozen=True, slots=True)
class Candidate:
    """A lot that could be used."""

    code: str
    on_hand: Decimal
    expiry: date | None
    arrived: date


def first_shortfall(entries: Iterable[Entry]) -> Shortfall | None:
    """First entry in book order (on, rank, id) that takes its lot and place below 0."""
    on_hand: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for entry in sorted(entries, key=lambda entry: (entry.on, entry.rank, entry.id)):
        on_hand[entry.lot, entry.place] += entry.amount
        left = on_hand[entry.lot, entry.place]
        if left < 0:
            return Shortfall(entry.lot, entry.place, entry.on, -left, entry)
    return None


def propose(lots: Sequence[Candidate], amount: Decimal) -> list[tuple[str, Decimal]]:
    """Share an amount over lots: earliest expiry first, then oldest, then code.

    A lot without an expiry comes last. The shares add up to the amount. Refused when
    the lots hold less than that, or the amount is not above zero.
    """
    if amount <= 0:
        raise Refused("Write an amount above zero.")
    held = sum((lot.on_hand for lot in lots if lot.on_hand > 0), Decimal(0))
    if held < amount:
        short = plain(amount - held)
        raise Refused(
            f"Only {plain(held)} of {plain(amount)} are on hand, {short} short: "
            "use less, or record the delivery that is missing."
        )
    shares, wanted = list[tuple[str, Decimal]](), amount
    for lot in sorted(lots, key=_first_to_go):
        share = min(lot.on_hand, wanted)
        if share > 0:
            shares.append((lot.code, share))
            wanted -= share
    return shares


def _first_to_go(lot: Candidate) -> tuple[date, date, str]:
    return lot.expiry or date.max, lot.arrived, lot.code
