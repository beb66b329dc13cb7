"""What is on hand, where, and in what state."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.db.models import BigIntegerField, F, Sum
from django.db.models.functions import Coalesce

from production.record.reads.restated import as_now, by_day
from production.stock.domain.ledger import Entry
from production.stock.models.counts import Stock
from production.stock.models.lots import Lot, Movement, Status
from production.stock.models.readings import Measurement


def ledger_entries(lots: Iterable[Lot]) -> list[Entry]:
    """The standing entries of some lots, as values for the law of the ledger."""
    rows = (
        Movement.objects.standing()
        .filter(lot__in=[lot.pk for lot in lots])
        .annotate(order=Coalesce("rank", F("id"), output_field=BigIntegerField()))
        .values_list(
            "id",
            "on",
            "order",
            "lot__code",
            "place__name",
            "amount",
            "kind",
            "deed__verb",
        )
    )
    return [
        Entry(
            id=pk,
            on=on,
            rank=order,
            lot=code,
            place=place,
            amount=amount,
            note=f"{kind} {abs(amount).normalize():f} ({verb})",
        )
        for pk, on, order, code, place, amount, kind, verb in rows
    ]


def status_on(lot: Lot, on: date) -> str:
    """The status in force at the end of that day; "" when none was given yet."""
    row = latest_status(lot, on)
    return row.status if row else ""


def latest_status(lot: Lot, on: date = date.max) -> Status | None:
    """The latest word on a lot that stands, by the end of that day; None before any."""
    return Status.objects.filter(lot=lot, on__lte=on).order_by("-on", "-id").first()


def latest_measurement(
    lot: Lot,
    what: str,
    bases: tuple[str, ...] = Measurement.VALUES,
    on: date | None = None,
) -> Measurement | None:
    """The value that counts for a lot: measured before stated, the latest of each.

    With ``on``, as it was known to be at the end of that day.
    """
    found = Measurement.objects.filter(lot=lot, what=what, basis__in=bases)
    found = found.filter(taken_back__isnull=True).select_related("deed")
    rows = by_day(as_now(found.order_by("id")))[::-1]
    rows = [row for row in rows if on is None or row.on <= on]
    for basis in bases:
        for row in rows:
            if row.basis == basis:
                return row
    return None


def on_hand_by_place(lot: Lot) -> list[tuple[str, Decimal]]:
    """Where a lot stands and how much, places with nothing left out."""
    rows = Stock.objects.filter(lot=lot, amount__gt=0)
    return sorted(rows.values_list("place__name", "amount"))


def entered() -> dict[tuple[int, int], Decimal]:
    """What the entries of each lot add up to at each place, by their keys.

    Only to prove or remake what is kept: ``Stock`` answers what is on hand.
    """
    rows = Movement.objects.order_by().values_list("lot_id", "place_id")
    return {(lot, place): total for lot, place, total in rows.annotate(Sum("amount"))}
