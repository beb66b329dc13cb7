"""What a batch took, gave and lost, in grams."""

from decimal import Decimal

from production.domain.balance import Balance, balance, net_grams
from production.models import Batch, Item, Movement

USED, MADE = Movement.Kind.USED, Movement.Kind.MADE


def batch_balance(batch: Batch) -> Balance | None:
    """The law of mass for one batch; None while open, or where a piece has no mass."""
    rows = list(
        batch.movements.standing()
        .filter(kind__in=[USED, MADE])
        .select_related("lot__item")
    )
    return balance_of(batch.stage, rows, list(batch.losses.all()))


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
