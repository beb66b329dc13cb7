"""What came back and is to be looked at."""

from collections import defaultdict
from decimal import Decimal

from django.db.models import Sum

from production.quantities.domain.numbers import ZERO
from production.selling.models import Looked, Return
from production.stock.models.lots import Lot
from production.stock.reads.set_apart import standing_apart


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
