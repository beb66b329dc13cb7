"""What is still open in months that are to be closed: in a fixed number of questions.

Nothing of it stops a closing. What is mended later stands in the first open month.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery

from production.buying.models import Purchase, PurchaseLine
from production.buying.reads.bills import waiting_bills
from production.record.domain.months import ended_between
from production.record.models.ink import Closing, Deed
from production.selling.models import SaleLine
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot, Movement, Status

KIND = Movement.Kind
MOST = 50


@dataclass(frozen=True, slots=True)
class StillOpen:
    """One kind of what is open: what it means for the statement, and each by name."""

    title: str
    says: str
    rows: tuple[tuple[str, str], ...]

    @property
    def cut(self) -> bool:
        return len(self.rows) >= MOST


def months_to_close(today: date) -> list[date]:
    """The last days of the months that are over and not closed, the earliest first."""
    closing = Closing.objects.order_by("-through").first()
    if closing:
        return ended_between(closing.through, today)
    first = Deed.objects.order_by("on").values_list("on", flat=True).first()
    start = Movement.objects.order_by("on").values_list("on", flat=True).first()
    days = [day for day in (first, start) if day]
    if not days:
        return ended_between(today.replace(day=1), today)
    return ended_between(min(days).replace(day=1), today)


def still_open(through: date) -> list[StillOpen]:
    """Each kind of which there is some, through that day."""
    found = [
        StillOpen(title, says, _rows(ask(through), name))
        for title, says, ask, name in ASKED
    ]
    shares = [bill for bill in waiting_bills() if bill.purchase.arrived <= through]
    found.append(
        StillOpen(
            "Extra costs that wait for a weight",
            "The goods of these purchases count as not known.",
            tuple(
                (str(bill.purchase), bill.purchase.get_absolute_url())
                for bill in shares[:MOST]
            ),
        )
    )
    return [one for one in found if one.rows]


def _rows(
    rows: Iterable[Any], name: Callable[[Any], tuple[str, Any]]
) -> tuple[tuple[str, str], ...]:
    named = (name(row) for row in rows)
    return tuple((words, thing.get_absolute_url()) for words, thing in named)


def _open_batches(through: date) -> QuerySet[Batch]:
    used = Movement.objects.standing().filter(batch=OuterRef("pk"), on__lte=through)
    rows = Batch.objects.filter(started__lte=through)
    rows = rows.filter(Exists(used.filter(kind=KIND.USED)))
    return rows.exclude(Exists(used.filter(kind=KIND.MADE))).order_by("pk")[:MOST]


def _unpriced(through: date) -> QuerySet[PurchaseLine]:
    came = Movement.objects.standing().filter(
        kind=KIND.RECEIVED, lot__line=OuterRef("pk")
    )
    rows = PurchaseLine.objects.filter(
        Exists(came.filter(on__lte=through)), prices__isnull=True
    )
    return rows.select_related("purchase", "item").order_by("pk")[:MOST]


def _unvalued(through: date) -> QuerySet[Movement]:
    rows = Movement.objects.standing().filter(
        kind=KIND.OPENING, on__lte=through, value__isnull=True
    )
    return rows.select_related("lot__item").order_by("pk")[:MOST]


def _uninvoiced(through: date) -> QuerySet[Purchase]:
    came = Movement.objects.standing().filter(
        kind=KIND.RECEIVED, on__lte=through, lot__line__purchase=OuterRef("pk")
    )
    rows = Purchase.objects.filter(Exists(came), invoiced__isnull=True)
    return rows.select_related("supplier").order_by("pk")[:MOST]


def _unjudged(through: date) -> QuerySet[Batch]:
    """Only of the months that are to be closed: what is closed is judged no more."""
    made = Movement.objects.standing().filter(
        batch=OuterRef("pk"), kind=KIND.MADE, on__lte=through
    )
    closed = Closing.objects.order_by("-through").values("through")[:1]
    made = made.annotate(closed=Subquery(closed))
    made = made.filter(Q(closed=None) | Q(on__gt=F("closed")))
    rows = Batch.objects.filter(Exists(made), expected__isnull=True)
    return rows.order_by("pk")[:MOST]


def _stopped(through: date) -> QuerySet[Lot]:
    began = Movement.objects.standing().filter(
        lot=OuterRef("pk"), on__lte=through, kind__in=[KIND.RECEIVED, KIND.MADE]
    )
    words = [Status.Word.QUARANTINE, Status.Word.HELD]
    rows = Lot.objects.in_stock().filter(Exists(began), status__in=words)
    return rows.select_related("item").order_by("pk")[:MOST]


def _given_for_nothing(through: date) -> QuerySet[SaleLine]:
    sold = Movement.objects.standing().filter(
        kind=KIND.SOLD, on__lte=through, sale_line=OuterRef("pk")
    )
    rows = SaleLine.objects.filter(Exists(sold), unit_price__isnull=True)
    return rows.select_related("sale", "lot__item").order_by("pk")[:MOST]


ASKED: tuple[tuple[str, str, Callable[[date], Any], Callable[[Any], Any]], ...] = (
    (
        "Open batches",
        "What went into them stands in open batches, not in stock.",
        _open_batches,
        lambda row: (f"{row.get_stage_display().capitalize()} {row}", row),
    ),
    (
        "Goods without a price",
        "They count as not known, and so does what was made of them.",
        _unpriced,
        lambda row: (f"{row.item}, {row.purchase}", row.purchase),
    ),
    (
        "Opening stock without a value",
        "It counts as not known, and so does what was made of it.",
        _unvalued,
        lambda row: (f"{row.lot.item} {row.lot}", row.lot),
    ),
    (
        "Purchases without an invoice",
        "A bill that is still to come changes what these goods cost.",
        _uninvoiced,
        lambda row: (f"{row}, {row.supplier}", row),
    ),
    (
        "Batches whose yield was not judged",
        "Nobody said what they should have come to, so no loss was split off.",
        _unjudged,
        lambda row: (f"{row.get_stage_display().capitalize()} {row}", row),
    ),
    (
        "Lots in quarantine or held",
        "They count as stock, though they may not be sold yet.",
        _stopped,
        lambda row: (f"{row.item} {row}", row),
    ),
    (
        "Sold without a price",
        "Their cost counts as sold; what they brought is not known.",
        _given_for_nothing,
        lambda row: (f"{row.lot.item}, {row.sale}", row.sale),
    ),
)
