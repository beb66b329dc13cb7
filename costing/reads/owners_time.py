"""What one of a lot would cost more with an owner's unpaid time.

Such time is no cost in the books: no value of stock holds it. It goes the ways of the
work that is paid, through batches, losses and lots, and is told apart.
"""

from collections import defaultdict
from dataclasses import replace
from fractions import Fraction

from costing.domain.rollup import NANO, roll_up
from costing.reads.book import Book
from production.models import Work
from production.record.reads.restated import as_now
from production.yields.reads import standing_work


def owners_time(book: Book, code: str) -> Fraction:
    """Currency of one gram or piece of a lot; 0 where no unpaid time is behind it.

    ``book`` holds all that went into the lot. Goods count as nothing here, whether
    their price is known or not.
    """
    hours = _unpaid(book)
    if not hours:
        return Fraction(0)
    lots = [replace(node, bought={}, known=True) for node in book.lots]
    batches = [
        replace(node, work=hours.get(node.code, {}), trial=False)
        for node in book.batches
    ]
    return roll_up(lots, batches).lots[code].unit_cost or Fraction(0)


def _unpaid(book: Book) -> dict[str, dict[str, int]]:
    """Nano of unpaid time by batch, of the batches in this book."""
    codes = [node.code for node in book.batches]
    rows = standing_work().filter(batch__code__in=codes).select_related("batch")
    found: dict[str, dict[str, int]] = defaultdict(lambda: {"labour": 0})
    for row in as_now(rows):
        if row.kind == Work.Kind.UNPAID:
            found[row.batch.code]["labour"] += round(row.cost * NANO)
    return dict(found)
