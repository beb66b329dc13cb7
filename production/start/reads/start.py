"""What asks for a hand today: each list in a fixed number of questions."""

from collections import defaultdict
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Exists, OuterRef, Q, Subquery

from production.buying.models import LinePrice, PurchaseLine
from production.contents.reads.closure import forward_closure
from production.fitness.reads.rows import load
from production.recipes.models.formulas import Formula
from production.release.reads.checks import COUNTS
from production.stock.models.batches import Batch, still_a_trial
from production.stock.models.counts import Count
from production.stock.models.lots import Lot, LotQuerySet, Movement, Status
from production.stock.models.readings import Measurement
from production.stock.reads.batches import is_lost
from production.workshop.models.items import Item

SOON = timedelta(days=30)
MOST = 50


def open_batches() -> list[Batch]:
    """Batches that made no lot and were not lost; ``fed``: whether anything went in.

    One that was taken back before anything stood in it is not under way.
    """
    entries = Movement.objects.standing().filter(batch=OuterRef("pk"))
    found = Batch.objects.select_related("version__formula").annotate(
        fed=Exists(entries.filter(kind=Movement.Kind.USED))
    )
    done = Exists(entries.filter(kind=Movement.Kind.MADE))
    begun = Q(deed__undone_by__isnull=True) | Q(fed=True)
    found = found.exclude(done).exclude(is_lost())
    return list(found.filter(begun).order_by("started", "id")[:MOST])


def waiting() -> list[Lot]:
    """Lots in quarantine; ``free_on`` is the first day of a release, or None."""
    making = Movement.objects.standing().filter(
        lot=OuterRef("pk"), kind=Movement.Kind.MADE
    )
    lots = list(
        _stopped(Status.Word.QUARANTINE)
        # A trial waits for looks and for its promotion, not for a release.
        .exclude(still_a_trial())
        .annotate(made_on=Subquery(making.values("on")[:1]))[:MOST]
    )
    for lot in lots:
        version = lot.batch.version if lot.batch else None
        rest = timedelta(days=version.rest_days if version else 0)
        lot.free_on = lot.made_on + rest if lot.made_on else None
    return lots


def stopped_by_a_check(on: date) -> list[Lot]:
    """Lots with something left that a check stops, since it failed, or was passed and
    is taken back, or lye is missing that may be in it: the lot, and what was made from
    it and has passed none since."""
    failed = Q(passed=False, taken_back__isnull=True)
    struck = Q(passed=True, taken_back__isnull=False)
    checks = Measurement.objects.filter(COUNTS, failed | struck)
    of = Q(pk__in=checks.values("lot")) | Q(batch__in=checks.values("batch"))
    of |= Q(batch__in=Count.objects.filter(batch__isnull=False).values("batch"))
    lots = list(Lot.objects.filter(of))
    if not lots:
        return []
    family = load(lots).family(on)
    tested = [lot.pk for lot in lots if family.open_points(lot.code)]
    ahead = {pk for lot in tested for pk in forward_closure(lot)}
    here = Lot.objects.filter(pk__in={*tested, *ahead}).in_stock()
    here = here.exclude(status=Status.Word.REJECTED)
    stands = list(here.select_related("item", "batch__version").order_by("id"))
    family = load(stands).family(on)
    found = [lot for lot in stands if family.open_points(lot.code)]
    return found[:MOST]


def held() -> list[Lot]:
    return list(_stopped(Status.Word.HELD)[:MOST])


def _stopped(word: Status.Word) -> LotQuerySet:
    """Lots of that word with something left, the longest standing first."""
    lots = Lot.objects.in_stock().filter(status=word).order_by("id")
    return lots.select_related("item", "batch__version")


def expiring(on: date) -> list[Lot]:
    """Lots with something left that are expired, or will be within a month."""
    lots = Lot.objects.filter(expires__lte=on + SOON).in_stock()
    lots = lots.exclude(status=Status.Word.REJECTED).select_related("item")
    return list(lots.order_by("expires", "id")[:MOST])


def short() -> list[Item]:
    """Items of which less is released than their level, with ``released``.

    ``stage`` is the stage that makes one of them, None for what is bought.
    """
    recipes = Formula.objects.filter(makes=OuterRef("pk")).order_by("-id")
    watched = Item.objects.filter(low_at__isnull=False).annotate(
        stage=Subquery(recipes.values("stage")[:1])
    )
    on_hand: dict[int, Decimal] = defaultdict(Decimal)
    lots = Lot.objects.filter(item__low_at__isnull=False).to_go_on()
    released = lots.filter(status=Status.Word.RELEASED).order_by()
    for item, amount in released.values_list("item", "on_hand"):
        on_hand[item] += amount
    found = [item for item in watched if on_hand[item.pk] < item.low_at]
    for item in found:
        item.released = on_hand[item.pk]
    return found[:MOST]


def unpriced() -> list[PurchaseLine]:
    """Lines of goods that nobody has written a price for yet, oldest first."""
    priced = LinePrice.objects.filter(line=OuterRef("pk"))
    lines = PurchaseLine.objects.standing().filter(~Exists(priced), item__isnull=False)
    lines = lines.select_related("item", "purchase__supplier")
    return list(lines.order_by("purchase__arrived", "id")[:MOST])
