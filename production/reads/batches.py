"""What a batch took, gave and lost, in grams."""

from collections import defaultdict
from decimal import Decimal
from typing import Any

from django.db.models import Q

from production.domain.balance import Balance, balance, net_grams
from production.models import Batch, Item, Loss, Movement

USED, MADE = Movement.Kind.USED, Movement.Kind.MADE


def batch_balance(batch: Batch) -> Balance | None:
    """The law of mass for one batch; None while open, or where a piece has no mass."""
    rows = list(
        batch.movements.standing()
        .filter(kind__in=[USED, MADE])
        .select_related("lot__item")
    )
    return balance_of(batch.stage, rows, list(Loss.objects.filter(batch=batch)))


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


def balance_of(stage, movements, losses) -> Balance | None:
    """The same from rows that are loaded already."""
    used, made = Decimal(0), None
    for row in movements:
        if row.lot.item.kind == Item.Kind.PACKAGING:
            continue
        mass = abs(row.amount)
        if row.lot.item.unit == Item.Unit.PIECE:
            mass = net_grams(mass, row.lot.net_mass)
        if mass is None:
            return None
        if row.kind == MADE:
            made = mass
        else:
            used += mass
    if made is None:
        return None
    named: dict[str, Decimal] = {}
    for loss in losses:
        named[loss.kind] = named.get(loss.kind, Decimal(0)) + loss.amount
    return balance(used, made, stage, named)
