"""What stands in batches that have made no lot yet, and what it is worth."""

from collections import defaultdict
from dataclasses import dataclass

from costing.reads.book import Book
from production.contents.reads.open_batches import InOpen, in_open_batches
from production.models import Batch


@dataclass(frozen=True, slots=True)
class InWork:
    """An open batch; ``nano`` is what its lots and its work cost so far, None while a
    price is not known. ``trial``: one that nobody accepted, an expense and no stock."""

    batch: Batch
    holds: list[InOpen]
    nano: int | None
    trial: bool


def in_work(book: Book) -> list[InWork]:
    """Every open batch of the whole book that holds something, oldest first.

    Two queries. They add up to the work in progress, trials to the development.
    """
    holds: dict[str, list[InOpen]] = defaultdict(list)
    for row in in_open_batches():
        holds[row.batch.code].append(row)
    inside = book.valuation.in_progress
    codes = [code for code, held in inside.items() if held.inside or code in holds]
    trials = {node.code for node in book.batches if node.trial}
    found = Batch.objects.filter(code__in=codes).order_by("started", "pk")
    return [
        InWork(
            batch=batch,
            holds=holds[batch.code],
            nano=None
            if inside[batch.code].missing
            else sum(inside[batch.code].inside.values()),
            trial=batch.code in trials,
        )
        for batch in found
    ]
