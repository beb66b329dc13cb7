"""What was found when somebody looked, and whether the book still says so."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import (
    BigIntegerField,
    Exists,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
)
from django.db.models.functions import Coalesce

from production.contents.reads.closure import alkali_behind
from production.counting.domain import LEAST, Difference
from production.quantities.domain.numbers import plain
from production.quantities.fields import QuantityField
from production.recipes.reads.cooking import balance_step
from production.stock.models.batches import Batch, Stage
from production.stock.models.counts import Count, Stock
from production.stock.models.lots import Lot, Movement
from production.stock.reads.value import worth_of
from production.workshop.models.places import Place

MOST_BATCHES = 40
NOTHING = Value(0, QuantityField())


@dataclass(frozen=True, slots=True)
class Stake:
    """What writing a count would change: grams or pieces, and money.

    ``batches`` may have got what is missing of an alkali.
    """

    lot: Lot
    difference: Difference
    worth: Decimal | None = None
    batches: tuple[Batch, ...] = ()

    @property
    def cost(self) -> Decimal | None:
        """What the difference cost, without its sign; None is unknown."""
        return None if self.worth is None else abs(self.worth)

    @property
    def token(self) -> str:
        """Tells whether what was shown is what would be written."""
        return f"{plain(self.difference.booked)}>{plain(self.difference.found)}"


def booked_at(lots: Iterable[Lot], on: date, place: Place) -> dict[int, Decimal]:
    """What the book has of each lot at a place at the end of that day; two queries.

    What is kept, less what came after: it costs what came after.
    """
    pks = [lot.pk for lot in lots]
    kept = Stock.objects.filter(lot__in=pks, place=place)
    booked = dict.fromkeys(pks, Decimal(0)) | dict(kept.values_list("lot", "amount"))
    after = Movement.objects.filter(lot__in=pks, place=place, on__gt=on).order_by()
    for pk, total in after.values_list("lot").annotate(total=Sum("amount")):
        booked[pk] -= total
    return booked


def differences(
    found: dict[Lot, Decimal], on: date, place: Place
) -> dict[Lot, Difference]:
    """What was found of each lot beside the book of that day."""
    booked, least = booked_at(found, on, place), least_asked()
    return {
        lot: Difference(booked[lot.pk], amount, lot.item.unit, least)
        for lot, amount in found.items()
    }


def stakes(found: dict[Lot, Decimal], on: date, place: Place) -> list[Stake]:
    """The same with the money, and the batches that may have got missing alkali."""
    rows = differences(found, on, place)
    worth = worth_of((lot, row.amount) for lot, row in rows.items() if row.amount)
    return [
        Stake(
            lot,
            row,
            worth.get(lot.pk),
            tuple(may_have_got(lot, on, place)) if asks_for_a_batch(lot, row) else (),
        )
        for lot, row in rows.items()
    ]


def least_asked() -> Decimal:
    """Grams that no balance of the house tells apart."""
    return max(balance_step(), LEAST)


def asks_for_a_batch(lot: Lot, difference: Difference) -> bool:
    """Alkali that is missing went somewhere: a pot may have got too much of it."""
    return difference.short and difference.beyond and burns(lot)


def burns(lot: Lot) -> bool:
    """An alkali as such, or a lye that was made here of one."""
    if lot.item.is_alkali:
        return True
    lye = lot.batch_id and lot.batch.stage == Stage.PREPARATION
    return bool(lye) and alkali_behind([lot.pk])


def may_have_got(lot: Lot, on: date, place: Place) -> QuerySet[Batch]:
    """Batches that used the lot, or another of its item, since it was last counted."""
    used = Movement.objects.used().filter(lot__item=lot.item_id, on__lte=on)
    last = Count.objects.filter(lot=lot, place=place, on__lte=on).last()
    if last is not None:
        used = used.filter(Q(on__gt=last.on) | Q(on=last.on, pk__gt=last.position))
    found = Batch.objects.filter(pk__in=used.values("batch"))
    return found.select_related("version__formula", "lot__item").order_by(
        "-started", "-pk"
    )[:MOST_BATCHES]


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A count that the book no longer agrees with, and the entries that came since."""

    count: Count
    says: Decimal
    entries: tuple[Movement, ...] = ()


def disagreeing(lot: Lot | None = None) -> list[Disagreement]:
    """Counts that something written later disagrees with; one query.

    The last count of each lot and place is asked. What the book says of its moment is
    what is kept, less all that came after it in the book's order.
    """
    place_in_book = Coalesce("rank", F("pk"), output_field=BigIntegerField())
    after = (
        Movement.objects.standing()
        .annotate(at=place_in_book)
        .filter(
            Q(on__gt=OuterRef("on"))
            | Q(on=OuterRef("on"), at__gt=OuterRef("position")),
            lot=OuterRef("lot"),
            place=OuterRef("place"),
            on__gte=OuterRef("on"),
        )
        .order_by()
        .values("lot")
        .annotate(total=Sum("amount"))
        .values("total")
    )
    kept = Stock.objects.filter(lot=OuterRef("lot"), place=OuterRef("place"))
    rows = (
        Count.objects.latest()
        if lot is None
        else Count.objects.latest().filter(lot=lot)
    )
    rows = rows.annotate(
        kept=Coalesce(Subquery(kept.values("amount")), NOTHING),
        after=Coalesce(Subquery(after), NOTHING),
    ).select_related("lot__item", "place", "deed__by")
    return [
        Disagreement(row, row.kept - row.after)
        for row in rows.order_by("on", "pk")
        if row.kept - row.after != row.found
    ]


def with_what_came(row: Disagreement) -> Disagreement:
    """With the entries that were written after the count and stand before it."""
    count = row.count
    late = Movement.objects.filter(
        lot=count.lot_id, place=count.place_id, pk__gt=count.position, on__lte=count.on
    ).exclude(Q(on=count.on, rank__isnull=True, reverses__isnull=True))
    late = late.select_related("deed__by", "lot__item", "place").order_by("pk")
    return Disagreement(count, row.says, tuple(late))


def counts_of(**of: object) -> QuerySet[Count]:
    """Counts and weighings of a lot or a deed, the latest first; ``gone`` if taken
    back."""
    stands = Count.objects.filter(pk=OuterRef("pk"))
    rows = Count.written.filter(**of).annotate(gone=~Exists(stands))
    rows = rows.select_related("lot__item", "place", "deed__by", "batch")
    return rows.order_by("-on", "-position", "-pk")
