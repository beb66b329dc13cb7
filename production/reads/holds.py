"""Why a lot is held, and what else a hold reaches."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Q

from production.domain.fitness import Family
from production.models import Batch, Hold, Lot, Movement, Status
from production.reads.fitness import Rows, load
from production.reads.trace import forward_closure


def standing_holds(lots: Iterable[Lot]) -> list[Hold]:
    """Causes that nobody has answered, of these lots or of their batches."""
    rows = list(lots)
    batches = [lot.batch_id for lot in rows if lot.batch_id]
    found = Hold.objects.filter(Q(lot__in=rows) | Q(batch__in=batches))
    return list(found.unanswered().select_related("deed__by"))


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


def reached_by(lot: Lot) -> tuple[list[Lot], list[Batch]]:
    """What is still here of what was made from a lot, and what stands open with it."""
    ahead = forward_closure(lot.pk)
    here = Lot.objects.filter(pk__in=ahead).in_stock()
    lots = here.exclude(status=Status.Word.REJECTED).select_related("item")
    return list(lots.order_by("pk")), open_batches({lot.pk, *ahead})


def open_batches(lots: Iterable[int]) -> list[Batch]:
    """Batches that used one of these lots and have made none yet."""
    standing = Movement.objects.standing()
    used = standing.filter(kind=Movement.Kind.USED, lot__in=list(lots))
    pks = set(used.order_by().values_list("batch_id", flat=True))
    made = standing.filter(kind=Movement.Kind.MADE, batch__in=pks)
    done = set(made.order_by().values_list("batch_id", flat=True))
    return list(Batch.objects.filter(pk__in=pks - done).order_by("pk"))


def held_together(holds: Iterable[Hold]) -> list[Lot]:
    """Other lots that were held by the same deeds and still are."""
    deeds = {hold.deed_id for hold in holds}
    own = {hold.lot_id for hold in holds}
    rows = Hold.objects.unanswered().filter(deed__in=deeds, lot__isnull=False)
    pks = set(rows.values_list("lot_id", flat=True)) - own
    return list(Lot.objects.filter(pk__in=pks).select_related("item").order_by("pk"))


def rejected_inside(lot: Lot) -> Lot | None:
    """A rejected lot that went into this one, None where there is none."""
    if not lot.batch_id:
        return None
    used = Movement.objects.standing().filter(
        batch=lot.batch_id, kind=Movement.Kind.USED
    )
    sources = Lot.objects.filter(pk__in=used.values("lot")).with_status()
    return sources.filter(status=Status.Word.REJECTED).order_by("pk").first()
