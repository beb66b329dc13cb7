"""Filled goods that were there before this book, and what stands against them."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Exists, OuterRef, Q

from production.fitness.reads.rows import load
from production.record.domain.text import PAST
from production.release.reads.checks import COUNTS
from production.stock.models.lots import Lot, LotQuerySet, Movement
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item


def from_before() -> LotQuerySet:
    """Goods counted in pieces that came as opening stock or with an imported past."""
    opened = Movement.objects.standing().filter(
        lot=OuterRef("pk"), kind=Movement.Kind.OPENING
    )
    lots = Lot.objects.filter(item__unit=Item.Unit.PIECE)
    lots = lots.exclude(item__kind=Item.Kind.PACKAGING)
    return lots.filter(Exists(opened) | Q(deed__key__startswith=PAST))


def untested_from_before() -> LotQuerySet:
    """Those with something left that have no check on file, newest first."""
    checks = Measurement.objects.filter(
        COUNTS, Q(lot=OuterRef("pk")) | Q(batch=OuterRef("batch"))
    )
    pks = from_before().exclude(Exists(checks)).values("pk")
    stock = Lot.objects.in_stock().filter(pk__in=pks).exclude(status="rejected")
    return stock.select_related("item").order_by("item__name", "-id")


def tested_before() -> LotQuerySet:
    """Lots that an owner vouched for: tested before this book began."""
    noted = Measurement.objects.filter(
        lot=OuterRef("pk"),
        method=Measurement.Method.BEFORE,
        taken_back__isnull=True,
    )
    return Lot.objects.filter(Exists(noted)).order_by("pk")


def failures_of(lots: Iterable[Lot]) -> dict[int, Lot]:
    """Of each lot, by its key, a lot with a failure on file: itself or one behind it.

    A failure that was taken back stands too, until a new check speaks.
    """
    rows = load(lots)
    family = rows.family(date.max)
    by_code = {lot.code: lot for lot in rows.lots.values()}
    found = {}
    for lot in lots:
        failed = [p for p in family.open_points(lot.code) if p.tested and not p.by_deed]
        if failed:
            own = [point for point in failed if point.lot == lot.code]
            found[lot.pk] = by_code[(own or failed)[0].lot]
    return found
