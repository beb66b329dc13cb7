"""What goods are worth, asked of whoever knows: nothing here works out a cost.

The roof names the one that answers when the house starts.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal

from production.domain.numbers import money
from production.models import Lot

# Lots, and what one gram or piece of each cost by its key; None is unknown.
Answer = Callable[[Sequence[Lot]], Mapping[int, Decimal | None]]
_answers: list[Answer] = []


def answered_by(answer: Answer) -> None:
    """Name the one function that knows what goods cost."""
    _answers[:] = [answer]


def worth_of(amounts: Iterable[tuple[Lot, Decimal]]) -> dict[int, Decimal | None]:
    """What so much of each lot cost, by its key; None where it is not known."""
    asked = list(amounts)
    if not asked or not _answers:
        return {lot.pk: None for lot, _ in asked}
    costs = _answers[0]([lot for lot, _ in asked])
    return {lot.pk: _times(costs.get(lot.pk), amount) for lot, amount in asked}


def _times(cost: Decimal | None, amount: Decimal) -> Decimal | None:
    return None if cost is None else money(cost * amount)
