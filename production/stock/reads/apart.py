"""What came back and stands apart: what of it was seen, and what is to be looked at."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet, Sum

from production.quantities.domain.numbers import ZERO
from production.selling.models import Looked, Return
from production.stock.models.kept import Stock
from production.stock.models.ledger import Lot, Movement

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
    seen = Looked.objects.filter(seen__in=Looked.UNFIT)
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


def to_look_at(lot: Lot | None = None) -> list[tuple[Return, Decimal]]:
    """Returns of which something is to be looked at, and how much, oldest first."""
    apart = standing_apart(None if lot is None else [lot.pk])
    left = {pk: one.to_look_at for pk, one in apart.items() if one.to_look_at > 0}
    found = []
    for back, unseen in _unseen(list(left)):
        amount = min(unseen, left[back.line.lot_id])
        if amount > 0:
            left[back.line.lot_id] -= amount
            found.append((back, amount))
    return found


def unseen_of(back: Return) -> Decimal:
    """How much of one return nobody has looked at yet."""
    seen = back.looks.aggregate(total=Sum("amount"))["total"] or ZERO
    there = standing_apart([back.line.lot_id]).get(back.line.lot_id)
    amount = back.movement.amount - seen
    return max(min(amount, there.to_look_at if there else ZERO), ZERO)


def _unseen(lots: list[int]) -> list[tuple[Return, Decimal]]:
    rows = (
        Return.objects.standing()
        .filter(then=Return.Then.APART, line__lot__in=lots)
        .select_related("line__lot__item", "line__sale", "movement")
        .order_by("movement__on", "pk")
    )
    seen: dict[int, Decimal] = defaultdict(Decimal)
    looks = Looked.objects.filter(back__line__lot__in=lots)
    for back, amount in looks.values_list("back", "amount"):
        seen[back] += amount
    return [(back, back.movement.amount - seen[back.pk]) for back in rows]
