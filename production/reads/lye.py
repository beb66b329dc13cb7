"""Lots that come from a paste cooked with a declared excess of lye."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from functools import cache

from production.models import Batch, Item, Lot, Measurement, Movement, Version
from production.reads.checks import COUNTS
from production.reads.trace import back_closure

SAMPLED = Measurement.Sampled


def still_caustic(lot: Lot, on: date | None = None) -> bool:
    """Whether lye of a declared excess is in it that no passed check has cleared.

    The latest neutrality check of a lot, or of the batch that made it, speaks for it
    and for what is made from it; ``on`` leaves out what was noted for a later day.
    """
    if not Version.objects.filter(lye_excess=True, batches__isnull=False).exists():
        return False
    pks = back_closure(lot.pk) | {lot.pk}
    lots = Lot.objects.filter(pk__in=pks).select_related("batch__version")
    excess = {
        row.pk
        for row in lots
        if row.batch and row.batch.version and row.batch.version.lye_excess
    }
    if not excess:
        return False
    passed = _passed({row.pk: row.batch_id for row in lots}, on)
    behind = _behind(pks)

    @cache
    def caustic(pk: int) -> bool:
        if passed.get(pk):
            return False
        return pk in excess or any(caustic(source) for source in behind[pk])

    return caustic(lot.pk)


def caustic_batch(batch: Batch, on: date | None = None) -> bool:
    """The same of what is in a batch: unless a check of the batch itself has passed."""
    if _passed({0: batch.pk}, on).get(0):
        return False
    used = batch.movements.standing().filter(kind=Movement.Kind.USED)
    lots = {row.lot for row in used.select_related("lot")}
    return any(still_caustic(lot, on) for lot in lots)


def _passed(batches: dict[int, int | None], on: date | None) -> dict[int, bool]:
    """The verdict of each lot's latest neutrality check, by the key of the lot.

    A check speaks for what was there: it counts only if it stands in the book after
    everything that went in, and one of the lot itself after its making.
    """
    made = {batch: lot for lot, batch in batches.items() if batch}
    checks = Measurement.objects.filter(COUNTS).select_related("taken_back")
    if on is not None:
        checks = checks.filter(on__lte=on)
    of_these = checks.filter(lot__in=batches) | checks.filter(batch__in=made)
    used, done = _poured(made)
    verdicts = {}
    for row in of_these.order_by("on", "id"):
        lot = row.lot_id or made[row.batch_id]
        batch = batches[lot]
        since = max(used[batch], done[batch]) if row.lot_id else used[batch]
        late = (row.on, row.deed_id) >= since and row.sampled != SAMPLED.BEFORE
        if row.passed and hasattr(row, "taken_back"):
            continue
        verdicts[lot] = bool(row.passed) and late
    return verdicts


Spot = tuple[date, int]
BEFORE_ALL: Spot = (date.min, 0)


def _poured(
    batches: Iterable[int],
) -> tuple[dict[int | None, Spot], dict[int | None, Spot]]:
    """Day and deed of the last use, and of the making, of each batch."""
    used: dict[int | None, Spot] = defaultdict(lambda: BEFORE_ALL)
    done: dict[int | None, Spot] = defaultdict(lambda: BEFORE_ALL)
    rows = Movement.objects.standing().filter(
        batch__in=batches, kind__in=[Movement.Kind.USED, Movement.Kind.MADE]
    )
    # Bottles and labels that come on later leave the soap as it is.
    rows = rows.exclude(kind=Movement.Kind.USED, lot__item__kind=Item.Kind.PACKAGING)
    for batch, kind, on, deed in rows.values_list("batch", "kind", "on", "deed"):
        latest = used if kind == Movement.Kind.USED else done
        latest[batch] = max(latest[batch], (on, deed))
    return used, done


def _behind(pks: set[int]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = defaultdict(list)
    rows = Movement.objects.standing().filter(kind=Movement.Kind.USED, lot__in=pks)
    for source, target in rows.values_list("lot", "batch__lot"):
        if target in pks:
            found[target].append(source)
    return found
