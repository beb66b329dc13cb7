"""What came back and stands apart: what of it was seen, and what is to be looked at."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from django.apps import apps
from django.db.models import QuerySet, Sum

from production.quantities.domain.numbers import ZERO
from production.stock.models.counts import Stock
from production.stock.models.lots import Movement

KIND = Movement.Kind
LEAVES = {KIND.USED, KIND.GIVEN, KIND.DISCARDED}


@dataclass(frozen=True, slots=True)
class Apart:
    """Of one lot: what stands apart, what was seen to be unfit, what left of that."""

    on_hand: Decimal
    seen_unfit: Decimal
    left: Decimal

    @property
    def unfit(self) -> Decimal:
        """It only goes to be discarded, sampled or reworked."""
        return min(max(self.seen_unfit - self.left, ZERO), self.on_hand)

    @property
    def to_look_at(self) -> Decimal:
        return self.on_hand - self.unfit

    @property
    def unseen_left(self) -> Decimal:
        """More left than anybody has looked at."""
        return max(self.left - self.seen_unfit, ZERO)


def standing_apart(lots: Collection[int] | None = None) -> dict[int, Apart]:
    """By the key of the lot; None is every lot. Three queries."""
    stands = Stock.objects.filter(place__apart=True)
    rows = Movement.objects.standing().filter(place__apart=True, kind__in=LEAVES)
    looked = apps.get_model("production", "Looked")
    seen = looked.objects.filter(seen__in=looked.UNFIT)
    if lots is not None:
        stands, rows = stands.filter(lot__in=lots), rows.filter(lot__in=lots)
        seen = seen.filter(back__line__lot__in=lots)
    on_hand, left = _summed(stands, "lot"), _summed(rows, "lot")
    unfit = _summed(seen, "back__line__lot")
    return {
        lot: Apart(total, unfit.get(lot, ZERO), -left.get(lot, ZERO))
        for lot, total in on_hand.items()
    }


def _summed(rows: QuerySet, by: str) -> dict[int, Decimal]:
    sums = rows.order_by().values_list(by).annotate(total=Sum("amount"))
    return dict(sums)
