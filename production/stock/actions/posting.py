"""The only code that writes in the stock book."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Model, Q

from production.quantities.domain.numbers import MILLIGRAM, plain
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import (
    NEVER_BLOCKED,
    closed_through,
    refuse_closed,
    refuse_what_is_to_come,
)
from production.record.models.ink import Deed
from production.stock.actions.place_rules import left_unseen, may_stand_there
from production.stock.actions.stock_rows import kept_of
from production.stock.domain.ledger import first_shortfall
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot, Movement
from production.stock.reads.places_of_lots import in_words, stands_of
from production.stock.reads.stock import ledger_entries
from production.workshop.models.places import Place

KIND = Movement.Kind
LARGEST = Decimal(10) ** 15


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry to be posted; a positive amount comes in, a negative one goes out."""

    lot: Lot
    amount: Decimal
    kind: str
    on: date
    place: Place | None = None
    batch: Batch | None = None
    sale_line: Model | None = None
    reverses: Movement | None = None
    root: Movement | None = None
    rank: int | None = None
    value: Decimal | None = None
    typed: str = ""

    @property
    def positive(self) -> bool:
        return self.amount > 0


def home_place() -> Place:
    """Where goods stand when nobody says otherwise."""
    return Place.objects.get_or_create(name="workshop")[0]


def post(deed: Deed, entries: Iterable[Entry]) -> list[Movement]:
    """Write entries of one deed and judge the book as it stands after all of them.

    One deed writes at a time, so that two cannot take the same grams. What comes after
    the last entry of its lot is judged by what is kept; of any other lot the whole
    course is read again. Raises Refused, and writes nothing, if a lot would be below
    zero at any point of the book's order.
    """
    entries = list(entries)
    lots = sorted({entry.lot for entry in entries}, key=lambda lot: lot.pk)
    kept = kept_of(lot.pk for lot in lots)
    home = home_place()
    for entry in entries:
        _check_amount(entry)
    may_stand_there(deed, entries)
    # Its own day was asked for when the deed began.
    for on in {entry.on for entry in entries} - {deed.on}:
        refuse_what_is_to_come(on)
    asked = deed.verb not in NEVER_BLOCKED
    _refuse_closed_months([e for e in entries if e.on != deed.on or not asked])
    rows = [
        Movement(
            deed=deed,
            lot=entry.lot,
            place=entry.place or home,
            amount=entry.amount,
            kind=entry.kind,
            on=entry.on,
            batch=entry.batch,
            sale_line=entry.sale_line,
            reverses=entry.reverses,
            root=entry.root,
            rank=entry.rank,
            value=entry.value,
            typed=entry.typed,
        )
        for entry in entries
    ]
    # One by one: bulk_create gives no promise about the order of the numbers, and
    # the book's order is (date, number).
    for row in rows:
        row.save(force_insert=True)
        kept.take(row)
    if again := [lot for lot in lots if lot.pk in kept.again]:
        _judge(again, rows)
        _judge_course(again)
    kept.write()
    if any(row.place.apart and row.amount < 0 for row in rows):
        left_unseen(lots)
    return rows


def _refuse_closed_months(entries: Sequence[Entry]) -> None:
    """A mirror carries the date of its original, and so does its line entered again.

    The deed itself is of an open month: that was asked before it began.
    """
    closed = closed_through() if entries else None
    if closed is None:
        return
    for entry in entries:
        if entry.on <= closed and not _of_its_line(entry):
            refuse_closed(entry.on)


def _of_its_line(entry: Entry) -> bool:
    """Whether it is a mirror, or stands anew on a day on which its line stood."""
    if entry.reverses is not None:
        return True
    if entry.root is None:
        return False
    line = Q(root=entry.root) | Q(pk=entry.root.pk)
    return Movement.objects.filter(line, on=entry.on).exists()


def _check_amount(entry: Entry) -> None:
    amount = entry.amount
    if not amount.is_finite() or abs(amount) >= LARGEST:
        raise Refused(f"{amount} is not an amount that this book can hold.")
    if amount == 0:
        raise Refused(f"Write how much of {entry.lot}: nothing was entered.")
    if amount != amount.quantize(MILLIGRAM):
        raise Refused(f"{plain(amount)} is finer than 0.001; round it first.")
    if entry.lot.item.unit == "piece" and amount != amount.to_integral_value():
        raise Refused(f"{entry.lot} is counted in whole pieces, not {plain(amount)}.")


def _judge(lots: Sequence[Lot], written: Sequence[Movement]) -> None:
    shortfall = first_shortfall(ledger_entries(lots))
    if shortfall is None:
        return
    lot = next(lot for lot in lots if lot.code == shortfall.lot)
    unit = "g" if lot.item.unit == "g" else "pieces"
    mine = {row.pk for row in written if row.lot_id == lot.pk}
    asked = -sum(
        row.amount
        for row in written
        if row.lot_id == lot.pk
        and row.amount < 0
        and row.place.name == shortfall.place
        and row.reverses_id is None
    )
    if shortfall.entry.id in mine and asked > 0:
        had = max(asked - shortfall.short, Decimal(0))
        raise Refused(
            f"Only {plain(had)} {unit} of {lot} are on hand at {shortfall.place} on "
            f"{shortfall.on}, and {plain(asked)} are asked for. "
            f"{_elsewhere(lot, shortfall.place)}Take less, choose another lot, or "
            "correct the date on which it arrived."
        )
    raise Refused(
        f"{lot} would be {plain(shortfall.short)} {unit} short at {shortfall.place} on "
        f"{shortfall.on}: {shortfall.entry.note} came after. Take that back first."
    )


def _elsewhere(lot: Lot, place: str) -> str:
    """What stands of it at other places that goods are taken from."""
    stands = [stand for stand in stands_of(lot) if stand[0].name != place]
    return f"There are {in_words(stands, lot.item.unit)}. " if stands else ""


def _judge_course(lots: Sequence[Lot]) -> None:
    """A lot begins with its arrival, and no weighing leaves nothing of it."""
    codes = {lot.pk: lot.code for lot in lots}
    held: dict[tuple[int, int], Decimal] = defaultdict(Decimal)
    begun: set[int] = set()
    rows = Movement.objects.standing().filter(lot__in=codes).in_book_order()
    for lot, place, kind, on, amount in rows.values_list(
        "lot_id", "place_id", "kind", "on", "amount"
    ):
        if lot not in begun and kind not in Movement.STARTS:
            raise Refused(
                f"{codes[lot]} would be {kind} on {on}, before it came into the book. "
                "Choose a later day, or take that entry back first."
            )
        begun.add(lot)
        held[lot, place] += amount
        if kind == KIND.REWEIGHED and held[lot, place] <= 0:
            raise Refused(
                f"{codes[lot]} was weighed again on {on}, and nothing of it would have "
                "been there. Take that weighing back first."
            )


def mirror(movement: Movement) -> Entry:
    """The reversal of one entry: in full, on its own date."""
    if movement.kind == Movement.Kind.REVERSED:
        raise Refused("A correction is not itself taken back. Enter the goods again.")
    if Movement.objects.filter(reverses=movement).exists():
        raise Refused(f"This entry of {movement.lot} was already taken back.")
    return Entry(
        lot=movement.lot,
        amount=-movement.amount,
        kind=Movement.Kind.REVERSED,
        on=movement.on,
        place=movement.place,
        batch=movement.batch,
        sale_line=movement.sale_line,
        reverses=movement,
    )


def entered_again(movement: Movement, **changed: Any) -> Entry:
    """The same entry anew, of the same line and in the same place of the book.

    What hangs on the first entry of the line (a recipient, a return) hangs on it too.
    """
    same = Entry(
        lot=movement.lot,
        amount=movement.amount,
        kind=movement.kind,
        on=movement.on,
        place=movement.place,
        batch=movement.batch,
        sale_line=movement.sale_line,
        root=movement.root or movement,
        rank=movement.rank or movement.pk,
        value=movement.value,
        typed=movement.typed,
    )
    return replace(same, **changed)
