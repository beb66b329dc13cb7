"""What a lot holds as it stands in store, and what its last weighing made of it."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from production.chemistry.domain import composition
from production.contents.domain.reweighing import (
    Restated,
    Weighing,
    judge_alkali,
    restate,
)
from production.contents.reads.contents import contents_of
from production.quantities.domain.refusal import Refused
from production.stock.models.counts import Stock
from production.stock.models.lots import Lot, Movement
from production.stock.models.readings import Measurement
from production.stock.reads.readings import read_of
from production.stock.reads.stock import latest_measurement
from production.workshop.models.items import Item
from production.workshop.models.places import Place

REWEIGHED = Movement.Kind.REWEIGHED
SOAP, PURITY = Measurement.What.SOAP_CONTENT, Measurement.What.PURITY
# The deed that restates what a lot holds from two of its weights.
REWEIGHING = "reweigh a lot"


@dataclass(frozen=True, slots=True)
class Content:
    """A share of a lot, and whence the book has it, as a sentence goes on."""

    share: Decimal
    whence: str
    calculated: bool = False


def on_hand_on(lot: Lot, on: date, place: Place | None = None) -> Decimal:
    """At the end of that day: what is typed late is judged against its own day.

    What is kept, less what came after: it costs what came after.
    """
    kept = Stock.objects.filter(lot=lot)
    after = Movement.objects.filter(lot=lot, on__gt=on)
    if place is not None:
        kept, after = kept.filter(place=place), after.filter(place=place)
    total = kept.aggregate(total=Sum("amount"))["total"] or Decimal(0)
    return total - (after.aggregate(total=Sum("amount"))["total"] or Decimal(0))


def weighing(
    lot: Lot, found: Decimal, *, on: date, place: Place, past: bool = False
) -> Weighing:
    """What weighing it at that place would restate; refused where it says nothing.

    A value is of the whole lot, also where only one of its places was weighed.
    ``past`` was judged by the hand of an earlier book.
    """
    if lot.item.unit != Item.Unit.GRAM:
        raise Refused(f"{lot} is counted in pieces. Count it instead.")
    booked = on_hand_on(lot, on, place)
    if booked <= 0:
        raise Refused(f"Nothing of {lot} is on hand at {place}.")
    if found <= 0:
        raise Refused("Write an amount above zero.")
    if found == booked:
        raise Refused(f"{lot} weighs what the book says. Nothing to restate.")
    before = on_hand_on(lot, on)
    after = before + found - booked
    if lot.item.is_alkali and not past:
        judge_alkali(before, after, lot=str(lot))
    known = contents_on(lot, on)
    rows = tuple(restate(row, before, after, lot=str(lot)) for row in known)
    return Weighing(before, after, rows)


def contents_on(lot: Lot, on: date) -> list[Restated]:
    """The contents of that day that a weighing would restate."""
    known = ((SOAP, soap_content(lot, on)), (PURITY, _as_read(lot, PURITY, on)))
    return [
        Restated(what, one.share, one.share, one.calculated)
        for what, one in known
        if one is not None and one.share
    ]


def soap_content(lot: Lot, on: date) -> Content | None:
    """How much of a lot is soap on that day, and whence the book has it.

    As it was read or restated, else as it follows from its pot; None where neither
    says it. Whoever asks how strong a paste is asks here.
    """
    if (read := _as_read(lot, SOAP, on)) is not None:
        return read if read.share else None
    followed = _soap_followed(lot, on)
    return Content(followed, "worked out from its pot", True) if followed else None


def _as_read(lot: Lot, what: str, on: date) -> Content | None:
    latest = latest_measurement(lot, what, on=on)
    if latest is None:
        return None
    how = "restated" if latest.deed.verb == REWEIGHING else latest.basis
    return Content(latest.value or Decimal(0), f"{how} on {latest.on}")


def _soap_followed(lot: Lot, on: date) -> Decimal | None:
    """From what went into its pot, and from every weighing since."""
    held = contents_of(lot).finished if lot.batch_id else None
    if not held or not held.of_kind("soap"):
        return None
    share, total = composition.soap_content(held), Decimal(0)
    rows = lot.movements.standing().filter(on__lte=on).in_book_order()
    for kind, amount in rows.values_list("kind", "amount"):
        if kind == REWEIGHED and total > 0:
            share = share * total / (total + amount)
        total += amount
    return share


def last_weighing(lot: Lot) -> Weighing | None:
    """The last weighing that stands, with what it restated and still counts."""
    rows = lot.movements.standing().filter(kind=REWEIGHED)
    entry = rows.order_by("-on", "-id").first()
    if entry is None:
        return None
    earlier = lot.movements.filter(on__lte=entry.on, pk__lt=entry.pk)
    before = earlier.aggregate(total=Sum("amount"))["total"] or Decimal(0)
    restated = [_restated_by(entry, what) for what in (SOAP, PURITY)]
    if before <= 0 or "later" in restated:
        return None
    found = tuple(row for row in restated if isinstance(row, Restated))
    return Weighing(before, before + entry.amount, found)


def _restated_by(entry: Movement, what: str) -> Restated | str | None:
    """What the weighing made of a content; "later" where a newer reading stands."""
    read = read_of(lot=entry.lot_id, what=what, basis__in=Measurement.VALUES)
    own = max(
        (row for row in read if row.deed_id == entry.deed_id),
        key=lambda row: row.pk,
        default=None,
    )
    if own is None:
        return None
    counts = latest_measurement(entry.lot, what)
    if counts is None or counts.pk != own.pk:
        return "later"
    before = [row for row in read if row.on <= own.on and row.pk < own.pk]
    return Restated(what, before[-1].value, own.value) if before else None
