"""What batches took, gave and lost: the one place that loads it."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.db.models import Q, QuerySet, Sum

from production.record.reads.restated import as_now, settle, with_told
from production.stock.domain.balance import Balance
from production.stock.models.batches import COUNTED, Batch, Loss, Work
from production.stock.models.lots import Movement
from production.workshop.models.items import Item
from production.yields.domain.yields import Outturn, Poured, Terms, should_come_out

USED, MADE = Movement.Kind.USED, Movement.Kind.MADE


def batch_balance(batch: Batch) -> Balance | None:
    """The law of mass for one batch; None while open, or where a piece has no mass."""
    return outturn(batch).balance


def standing_work() -> QuerySet[Work]:
    """Hours that were not taken back, without those that took hours back."""
    return Work.objects.standing().unreversed()


def last_rate() -> Decimal | None:
    """What an hour of labour cost the last time; None before the first."""
    labour = standing_work().filter(kind=Work.Kind.LABOUR)
    rows = settle(with_told(labour.order_by("-id"))[:1])
    return rows[0].rate if rows else None


def explained(**of: Any) -> dict[int, list[str]]:
    """Reasons given where a batch was made or its record mended, by its key."""
    found: dict[int, list[str]] = defaultdict(list)
    mends = Q(kind__in=[MADE, Movement.Kind.REVERSED]) | Q(rank__isnull=False)
    for rows in (Movement.objects.filter(mends), Loss.objects.all()):
        given = rows.filter(batch__isnull=False, **of).exclude(deed__reason="")
        for batch, reason in given.order_by("pk").values_list("batch", "deed__reason"):
            if reason not in found[batch]:
                found[batch].append(reason)
    return found


def outturn(batch: Batch) -> Outturn:
    """What one batch took, gave and lost."""
    return outturns([batch])[batch.pk]


def outturns(batches: Iterable[Batch]) -> dict[int, Outturn]:
    """The same of many, by their keys, in four queries."""
    batches = list(batches)
    keys = [batch.pk for batch in batches]
    taken, made = _poured(keys)
    named: dict[int, dict[str, Decimal]] = defaultdict(dict)
    for loss in as_now(among(Loss.objects, keys)):
        kinds = named[loss.batch_id]
        kinds[loss.kind] = kinds.get(loss.kind, Decimal(0)) + loss.amount
    terms = terms_of({batch.version_id for batch in batches} - {None})
    return {
        batch.pk: _outturn(
            batch,
            tuple(taken[batch.pk]),
            made.get(batch.pk),
            named[batch.pk],
            terms.get(batch.version_id),
        )
        for batch in batches
    }


def _outturn(
    batch: Batch,
    went_in: tuple[Poured, ...],
    made: Poured | None,
    named: dict[str, Decimal],
    terms: Terms | None,
) -> Outturn:
    expected = batch.expected
    if made is not None:
        counted, mass = made.counted, made.net_mass
    else:
        pieces = batch.stage in COUNTED
        counted, mass = pieces if terms is None else terms.counted, None
    if batch.follows and terms is not None and went_in:
        if batch.loss is not None:
            terms = replace(terms, loss=batch.loss)
        expected = should_come_out(went_in, terms, counted=counted, net_mass=mass)
    return Outturn(
        stage=batch.stage,
        went_in=went_in,
        made=made,
        named=named,
        expected=expected,
        typed=batch.expected is not None,
        by_recipe=terms is not None,
        unit="piece" if counted else "g",
        **({} if terms is None else {"band": terms.band}),
    )


def terms_of(versions: Iterable[int]) -> dict[int, Terms]:
    """What versions say of their yield, by their keys; two queries."""
    version_rows = apps.get_model("production", "Version").objects
    rows = version_rows.filter(pk__in=list(versions)).select_related("formula__makes")
    return {
        version.pk: Terms(
            loss=version.loss,
            band=version.band,
            each={line.item_id: line.each for line in version.lines.all() if line.each},
            counted=version.formula.makes.unit == Item.Unit.PIECE,
        )
        for version in rows.prefetch_related("lines")
    }


def among(rows: QuerySet, batches: list[int]) -> QuerySet:
    """Rows of these batches."""
    return rows.filter(batch__in=batches)


def _poured(
    batches: list[int],
) -> tuple[dict[int, list[Poured]], dict[int, Poured]]:
    """What stands as used, summed by lot, and what stands as made."""
    rows = among(Movement.objects.standing(), batches).filter(kind__in=[USED, MADE])
    of_lot = ("lot", "lot__item", "lot__item__unit", "lot__item__kind", "lot__net_mass")
    summed = rows.order_by("lot").values("batch", "kind", *of_lot)
    taken: dict[int, list[Poured]] = defaultdict(list)
    made: dict[int, Poured] = {}
    for batch, kind, _, item, unit, of, mass, amount in summed.annotate(
        total=Sum("amount")
    ).values_list("batch", "kind", *of_lot, "total"):
        counted = unit == Item.Unit.PIECE
        packaging = of == Item.Kind.PACKAGING
        poured = Poured(item, abs(amount), counted, packaging, mass)
        if kind == MADE:
            made[batch] = poured
        else:
            taken[batch].append(poured)
    return taken, made
