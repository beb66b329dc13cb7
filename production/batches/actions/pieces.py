"""Pieces made of pieces are counted on both sides before they are written."""

from decimal import Decimal

from production.batches.domain.pieces import short, spoilt, vanished
from production.batches.reads.pieces import lost_grams, pieces_in
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.models.ink import Deed
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot
from production.workshop.models.items import Item


def pieces_agree(deed: Deed, batch: Batch, made: Lot, amount: Decimal) -> None:
    """Refuse a set that lacks its bottle, and a bottle that is in no set.

    Packaging beyond the pieces is asked about by name; the reason says where it went,
    or a loss of what was in it. Without any, a filling may get them afterwards.
    """
    if made.item.unit != Item.Unit.PIECE:
        return
    rows = pieces_in(batch)
    lost = lost_grams(batch)
    if says := vanished(rows, amount, lost):
        raise Refused(" ".join(says))
    if few := short(rows, amount):
        names = ", ".join(f"{plain(row.used)} of {row.item}" for row in few)
        raise Refused(
            f"{names} went in for {plain(amount)}: one is on each. "
            "Write the right numbers. What is only on some of them is added to the "
            "batch afterwards."
        )
    over = [
        row.says for row in spoilt(rows, amount) if not _fell(row.surplus, made, lost)
    ]
    if over and not deed.reason.strip():
        raise Refused(
            f"{', '.join(over)} went in beyond the {plain(amount)} that came out. "
            "Write the right number; or, where it is spoilt, say so in the reason."
        )


def _fell(pieces: Decimal, made: Lot, lost: Decimal) -> bool:
    """Whether so many broke full: their contents are a loss that has a name."""
    return made.net_mass is not None and 0 < pieces * made.net_mass <= lost
