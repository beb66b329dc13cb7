"""What a lot would change on labels, asked of whoever knows: no label is made here.

The roof names the one that answers when the house starts.
"""

from collections.abc import Callable, Sequence

from production.stock.models.lots import Lot
from production.workshop.models.items import Item

# Lots of fragrance, and a sentence for each label that they would change.
Answer = Callable[[Sequence[Lot]], Sequence[str]]
_answers: list[Answer] = []


def answered_by(answer: Answer) -> None:
    """Name the one function that knows what stands on labels."""
    _answers[:] = [answer]


def said_of_labels(lots: Sequence[Lot]) -> list[str]:
    """What these lots would change on labels; only fragrances are asked about.

    ``lots`` come with their items.
    """
    scented = [lot for lot in lots if lot.item.category == Item.Category.FRAGRANCE]
    if not scented or not _answers:
        return []
    return list(_answers[0](scented))
