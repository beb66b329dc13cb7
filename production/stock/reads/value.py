"""What goods are worth, asked of whoever knows: nothing here works out a cost.

The roof names the one that answers when the house starts.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal

from production.stock.models.lots import Lot

# Lots, and what one gram or piece of each cost by its key; None is unknown.
Answer = Callable[[Sequence[Lot]], Mapping[int, Decimal | None]]
CENT = Decimal("0.01")
_answers: list[Answer] = []


def answered_by(answer: Answer) -> None:
    """Name the one function that knows what goods cost."""
    _answers[:] = [answer]


def worth_of(amounts: Iterable[tuple[Lot, Decimal]]) -> dict[int, Decimal | None]:
    """What so much of each lot cost, to the cent, by its key; None is not known.

    It is said and never booked: what is booked is worked out where costs are.
    """
    asked = list(amounts)
    if not asked or not _answers:
        return {lot.pk: None for lot, _ in asked}
    costs = _answers[0]([lot for lot, _ in asked])
    return {lot.pk: _times(costs.get(lot.pk), amount) for lot, amount in asked}


def _times(cost: Decimal | None, amount: Decimal) -> Decimal | None:
    return None if cost is None else (cost * amount).quantize(CENT, ROUND_HALF_UP)
