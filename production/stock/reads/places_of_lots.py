"""Where a sale is taken from: what stands where, and what a channel took last."""

from collections.abc import Iterable
from decimal import Decimal

from production.quantities.domain.numbers import plain
from production.stock.models.counts import Stock
from production.stock.models.lots import Lot
from production.workshop.models.places import Place

Stand = tuple[Place, Decimal]


def stands_of(lot: Lot, *, apart: bool = False) -> list[Stand]:
    """Where a lot stands that may go on, and how much is there; ``apart``: and where
    of it came back."""
    return _stands([lot], apart)[lot.pk]


def _stands(lots: Iterable[Lot], apart: bool) -> dict[int, list[Stand]]:
    found: dict[int, list[Stand]] = {lot.pk: [] for lot in lots}
    rows = Stock.objects.filter(lot__in=list(found), amount__gt=0)
    rows = rows.filter(place__apart__in={False, apart}).select_related("place")
    for row in rows.order_by("place__name"):
        found[row.lot_id].append((row.place, row.amount))
    return found


def standing_places(lots: Iterable[Lot]) -> dict[int, Place | None]:
    """The one place where each lot stands, by its key; None where there are more.

    What came back stands apart: it is taken from there only where all of it does.
    """
    found: dict[int, Place | None] = {}
    for lot, stands in _stands(lots, apart=True).items():
        places = [place for place, _ in stands]
        free = [place for place in places if not place.apart] or places
        found[lot] = free[0] if len(free) == 1 else None
    return found


def in_words(stands: Iterable[Stand], unit: str) -> str:
    """``12 pieces at the crate, 3 at the workshop``; the unit is said once."""
    first, *others = [(f"{place}", plain(amount)) for place, amount in stands]
    word = "g" if unit == "g" else "piece" if first[1] == "1" else "pieces"
    said = [f"{first[1]} {word} at {first[0]}"]
    return ", ".join([*said, *(f"{amount} at {place}" for place, amount in others)])
