"""What went into a batch by the piece, item by item."""

from decimal import Decimal

from production.batches.domain.pieces import Pieces, spoilt, vanished
from production.stock.models.batches import Batch, Loss
from production.workshop.models.items import Item


def pieces_in(batch: Batch) -> list[Pieces]:
    """Counted goods and packaging among its uses; two queries."""
    rows = batch.movements.used().filter(lot__item__unit=Item.Unit.PIECE)
    used: dict[Item, Decimal] = {}
    masses: dict[Item, set[Decimal | None]] = {}
    for row in rows.select_related("lot__item").order_by("pk"):
        item = row.lot.item
        used[item] = used.get(item, Decimal(0)) - row.amount
        masses.setdefault(item, set()).add(row.lot.net_mass)
    lines = batch.version.lines.all() if used and batch.version_id else ()
    each = {line.item_id: line.each for line in lines}
    return [
        Pieces(
            item.name,
            amount,
            packaging=item.kind == Item.Kind.PACKAGING,
            each=each.get(item.pk),
            net_mass=masses[item].pop() if len(masses[item]) == 1 else None,
        )
        for item, amount in used.items()
    ]


def lost_grams(batch: Batch) -> Decimal:
    """All of its losses that have a name."""
    return sum((row.amount for row in Loss.objects.filter(batch=batch)), Decimal(0))


def off_by(batch: Batch) -> list[str]:
    """What its page says where the pieces that went in are not in what came out."""
    made = batch.movements.made().filter(lot__item__unit=Item.Unit.PIECE)
    entry = made.first()
    if entry is None:
        return []
    rows = pieces_in(batch)
    over = [f"Spoilt: {row.says}." for row in spoilt(rows, entry.amount)]
    return [*over, *vanished(rows, entry.amount, lost_grams(batch))]
