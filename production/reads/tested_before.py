"""Filled goods that were there before this book, and what stands against them."""

from collections.abc import Iterable

from django.db.models import Exists, OuterRef, Q

from production.models import Item, Lot, Measurement, Movement
from production.models.ledger import LotQuerySet
from production.reads.checks import COUNTS, deciding
from production.reads.trace import back_closure

# Deeds of an imported past carry this before their number.
IMPORTED = "history:"


def from_before() -> LotQuerySet:
    """Goods counted in pieces that came as opening stock or with an imported past."""
    opened = Movement.objects.standing().filter(
        lot=OuterRef("pk"), kind=Movement.Kind.OPENING
    )
    lots = Lot.objects.filter(item__unit=Item.Unit.PIECE)
    lots = lots.exclude(item__kind=Item.Kind.PACKAGING)
    return lots.filter(Exists(opened) | Q(deed__key__startswith=IMPORTED))


def untested_from_before() -> LotQuerySet:
    """Those with something left that have no check on file, newest first."""
    checks = Measurement.objects.filter(
        COUNTS, Q(lot=OuterRef("pk")) | Q(batch=OuterRef("batch"))
    )
    pks = from_before().exclude(Exists(checks)).values("pk")
    stock = Lot.objects.in_stock().filter(pk__in=pks).exclude(status="rejected")
    return stock.select_related("item").order_by("item__name", "-id")


def failures_of(lots: Iterable[Lot]) -> dict[int, Lot]:
    """Of each lot, by its key, a lot with a failure on file: itself or one behind it.

    A failure that was taken back stands too, until a new check speaks, unless it was
    found to be another lot's.
    """
    behind = {
        lot.pk: {lot.pk} | (back_closure(lot.pk) if lot.batch_id else set())
        for lot in lots
    }
    everyone = set().union(*behind.values())
    failed = _failed(everyone)
    found = {}
    for pk, pks in behind.items():
        if bad := pks & failed.keys():
            found[pk] = failed[pk if pk in bad else min(bad)]
    return found


def _failed(pks: set[int]) -> dict[int, Lot]:
    lots = {lot.pk: lot for lot in Lot.objects.filter(pk__in=pks)}
    of_batch = {lot.batch_id: lot.pk for lot in lots.values() if lot.batch_id}
    checks = Measurement.objects.filter(COUNTS).exclude(
        taken_back__belongs_to__isnull=False
    )
    both = Q(lot__in=pks) | Q(batch__in=of_batch)
    said: dict[int, bool] = {}
    for row in deciding(checks.filter(both)):
        said.setdefault(row.lot_id or of_batch[row.batch_id], bool(row.passed))
    return {pk: lots[pk] for pk, passed in said.items() if not passed}
