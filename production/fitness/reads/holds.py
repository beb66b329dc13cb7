"""Why a lot is held, and what else a hold reaches."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from production.contents.reads.closure import forward_closure
from production.contents.reads.open_batches import InOpen, in_open_batches
from production.fitness.domain.family import Family
from production.fitness.reads.rows import Rows, load
from production.fitness.reads.superfats import NOW
from production.stock.models.batches import Batch
from production.stock.models.holds import Hold
from production.stock.models.lots import Lot, Movement, Status


def standing_holds_of(batches: Iterable[Batch]) -> list[Hold]:
    """The same of batches that have made no lot yet."""
    return list(Hold.objects.unanswered().filter(batch__in=list(batches)))


def causes_of(lot: Lot) -> list[Hold]:
    """The same, with those of held lots from which it was made after they were held."""
    rows = load([lot])
    return causes_in(rows, rows.family(date.max), lot)


def causes_in(rows: Rows, family: Family, lot: Lot) -> list[Hold]:
    """The same of rows that are loaded already.

    One deed may hold several lots: the cause of each is its own.
    """
    own = {(code, stop.deed) for code, stop in family.stops(lot.code)}
    return [
        hold
        for hold in rows.standing_holds()
        if (_held(rows, hold), hold.deed_id) in own
    ]


def _held(rows: Rows, hold: Hold) -> str:
    """The code of the lot that a cause stops, by itself or through its batch."""
    lots = rows.lots.values()
    pk, batch = hold.lot_id, hold.batch_id
    return next(
        (at.code for at in lots if at.pk == pk or (batch and at.batch_id == batch)), ""
    )


def reached_by(lot: Lot) -> tuple[list[Lot], list[InOpen]]:
    """What is still here of what was made from a lot, and what stands open with it."""
    ahead = forward_closure(lot.pk)
    here = Lot.objects.filter(pk__in=ahead).in_stock()
    lots = here.exclude(status=Status.Word.REJECTED).select_related("item")
    return list(lots.order_by("pk")), in_open_batches({lot.pk, *ahead})


def held_together(holds: Iterable[Hold]) -> tuple[list[Lot], list[Batch]]:
    """What else was held by the same deeds and still is: lots, and open batches.

    A lot is held with the batch that has made it since.
    """
    deeds = {hold.deed_id for hold in holds}
    own = {hold.pk for hold in holds}
    rows = Hold.objects.unanswered().filter(deed__in=deeds).exclude(pk__in=own)
    found = list(rows.values_list("lot_id", "batch_id"))
    batches = {batch for _, batch in found if batch}
    made = Movement.objects.made().filter(batch__in=batches)
    done = dict(made.order_by().values_list("batch_id", "lot_id"))
    pks = {lot for lot, _ in found if lot} | set(done.values())
    pks -= {hold.lot_id for hold in holds}
    return (
        list(Lot.objects.filter(pk__in=pks).select_related("item").order_by("pk")),
        list(Batch.objects.filter(pk__in=batches - set(done)).order_by("pk")),
    )


def stops_of(batch: Batch) -> tuple[list[str], list[str]]:
    """Why a batch that has made no lot is held; and what in it was held since it went
    in, where the batch was left out of that."""
    rows = load([], batch)
    family = rows.family(date.max)
    code = rows.open_code
    held = [
        stop.cause if at == code else f"{at}: {stop.cause}"
        for at, stop in family.stops(code)
    ]
    mine = {stop.deed for _, stop in family.stops(code)}
    left_out = [
        f"{at}, which is in it, is held: {stop.cause}"
        for at, stop in family.stopped_since(code)
        if stop.deed not in mine
    ]
    return held, left_out


def holds_of_open(batch: Any) -> QuerySet[Hold]:
    """Causes that stand against a batch, and against what it took when that was held
    already (to cook on, to rework); ``batch`` may be an outer reference."""
    took = Movement.objects.used().filter(
        lot=OuterRef("lot"), deed__gt=OuterRef("deed")
    )
    standing = Hold.objects.unanswered()
    return standing.filter(Q(batch=batch) | Exists(took.filter(batch=batch)))


def rejected_in(rows: Rows) -> list[str]:
    """What stands in an open batch and is rejected, or was made from something that
    was rejected since the batch took it; ``rows`` are those of the batch."""
    assert rows.batch is not None
    pours = [row for row in rows.used[rows.batch.pk] if row.stands(NOW - 1)]
    direct = {row.lot for row in pours}
    since = min((row.first for row in pours), default=0)
    lots = [lot for lot in rows.lots.values() if lot.status == Status.Word.REJECTED]
    return [lot.code for lot in lots if lot.pk in direct or lot.worded > since]


def rejected_inside(lot: Lot) -> Lot | None:
    """A rejected lot that went into this one, None where there is none."""
    if not lot.batch_id:
        return None
    used = Movement.objects.standing().filter(
        batch=lot.batch_id, kind=Movement.Kind.USED
    )
    sources = Lot.objects.filter(pk__in=used.values("lot")).with_status()
    return sources.filter(status=Status.Word.REJECTED).order_by("pk").first()
