"""Counting: what was found is written down, and the difference is booked."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from production.counting.domain import Difference
from production.counting.reads import (
    asks_for_a_batch,
    booked_at,
    differences,
    may_have_got,
)
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed
from production.record.models.ink import Deed
from production.stock.actions.posting import Entry, home_place, post
from production.stock.models.batches import Batch
from production.stock.models.counts import Count
from production.stock.models.lots import Lot, Movement
from production.workshop.models.places import Place

KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class Found:
    """What was found of one lot; ``why`` it differs, where the deed's reason is not it.

    ``batch`` may have got the alkali that is missing, ``nobody``: none of them did.
    """

    lot: Lot
    amount: Decimal
    why: str = ""
    batch: Batch | None = None
    nobody: bool = False


class CountsRefused(Refused):
    """What is wrong with each lot, by its key, so that a page can lead to it."""

    def __init__(self, faults: Mapping[int, str]) -> None:
        super().__init__(" ".join(faults.values()))
        self.faults = faults


@deed("count a lot")
def count_lot(
    deed: Deed,
    *,
    lot: Lot,
    found: Decimal | None = None,
    difference: Decimal | None = None,
    place: Place | None = None,
    batch: Batch | None = None,
    nobody: bool = False,
    past: bool = False,
) -> None:
    """Say what is really there; the difference is booked, with its value.

    ``past`` is taken over from an earlier book: its difference is booked as it says,
    and what was found is written where the book told it.
    """
    place = place or home_place()
    if past:
        _taken_over(deed, lot, place, found, difference or Decimal(0), batch)
        return
    if difference is not None:
        found = booked_at([lot], deed.on, place)[lot.pk] + difference
    if found is None or found < 0:
        raise Refused("A count is zero or more.")
    _count(deed, place, [Found(lot, found, batch=batch, nobody=nobody)])


@deed("count a place")
def count_place(deed: Deed, *, place: Place, counts: Sequence[Found]) -> None:
    """Every lot that was counted at one place: all of them, or none is written."""
    if not counts:
        raise Refused("Write what you found of one lot at least.")
    if len({row.lot.pk for row in counts}) < len(counts):
        raise Refused("One lot is counted twice here. Count it once.")
    _count(deed, place, counts)


def _count(deed: Deed, place: Place, counts: Sequence[Found]) -> None:
    found = {row.lot: row.amount for row in counts}
    rows = differences(found, deed.on, place)
    faults = {}
    for row in counts:
        if says := _fault(deed, row, rows[row.lot], place):
            faults[row.lot.pk] = says
    if faults:
        raise CountsRefused(faults)
    entries = {
        lot: Entry(
            lot=lot, amount=row.amount, kind=KIND.COUNTED, on=deed.on, place=place
        )
        for lot, row in rows.items()
        if row.amount
    }
    posted = _posted(deed, entries)
    for one in counts:
        write_count(
            deed,
            one.lot,
            place,
            found=one.amount,
            booked=rows[one.lot].booked,
            entry=posted.get(one.lot.pk),
            why=one.why,
            batch=one.batch,
        )


def _fault(deed: Deed, row: Found, differs: Difference, place: Place) -> str:
    """Why one count is not written; "" where it may be."""
    if row.amount < 0:
        return "A count is zero or more."
    if not differs.beyond:
        return ""
    if not (deed.reason.strip() or row.why.strip()):
        return f"{row.lot} is {differs.says}: write the reason."
    if row.nobody or not asks_for_a_batch(row.lot, differs):
        return ""
    batches = set(may_have_got(row.lot, deed.on, place))
    if batches and row.batch is None:
        return (
            f"{row.lot} is an alkali and {differs.says}: say which batch may have got "
            "it, or that none did."
        )
    if row.batch is not None and row.batch not in batches:
        return (
            f"{row.batch} used none of {row.lot.item} since the last count. Choose a "
            "batch that did, or none."
        )
    return ""


def _posted(deed: Deed, entries: Mapping[Lot, Entry]) -> dict[int, Movement]:
    """All at once; where that is refused, each by itself, to name every lot."""
    try:
        with transaction.atomic():
            return {row.lot_id: row for row in post(deed, entries.values())}
    except Refused:
        if len(entries) == 1:
            raise
        faults = {}
        for lot, entry in entries.items():
            if says := _refused_alone(deed, entry):
                faults[lot.pk] = says
        if not faults:
            raise
        raise CountsRefused(faults) from None


def _refused_alone(deed: Deed, entry: Entry) -> str:
    try:
        with transaction.atomic():
            post(deed, [entry])
            transaction.set_rollback(True)
    except Refused as fault:
        return str(fault)
    return ""


def _taken_over(
    deed: Deed,
    lot: Lot,
    place: Place,
    found: Decimal | None,
    difference: Decimal,
    batch: Batch | None,
) -> None:
    entry: Movement | None = None
    if difference:
        counted = Entry(
            lot=lot, amount=difference, kind=KIND.COUNTED, on=deed.on, place=place
        )
        [entry] = post(deed, [counted])
    if found is not None:
        booked = found - difference
        write_count(
            deed, lot, place, found=found, booked=booked, entry=entry, batch=batch
        )


def write_count(
    deed: Deed,
    lot: Lot,
    place: Place,
    *,
    found: Decimal,
    booked: Decimal,
    entry: Movement | None,
    why: str = "",
    batch: Batch | None = None,
    reweighed: bool = False,
) -> Count:
    """What was found, behind everything that was written by then."""
    longest = Count._meta.get_field("why").max_length or 0
    if len(why) > longest:
        raise Refused(f"A reason has at most {longest} characters: shorten it.")
    last = entry or Movement.objects.order_by("-pk").first()
    row = Count(
        deed=deed,
        lot=lot,
        place=place,
        on=deed.on,
        found=found,
        booked=booked,
        entry=entry,
        position=last.pk if last else 0,
        why=why,
        batch=batch,
        reweighed=reweighed,
    )
    row.save()
    return row
