"""All that is to be kept, worked out from the entries alone."""

from collections import defaultdict
from dataclasses import dataclass

from costing.domain.rollup import Valuation
from costing.models import KeptBatch
from costing.reads.book import Book, whole_book
from costing.reads.keeping import Inside, KeepBatch, KeepLot, keep_batch, keep_lot
from production.models import Batch, Lot


@dataclass(frozen=True, slots=True)
class Keeps:
    """Lots and batches by their keys, as they are to be kept."""

    lots: dict[int, KeepLot]
    batches: dict[int, KeepBatch]
    valuation: Valuation


def from_nothing(book: Book | None = None) -> Keeps:
    """The whole book rolled up; Refused where it cannot be."""
    book = book or whole_book()
    lots = dict(Lot.objects.values_list("code", "pk"))
    batches = dict(Batch.objects.values_list("code", "pk"))
    return _keeps(book, lots, batches)


def _keeps(book: Book, lots: dict[str, int], batches: dict[str, int]) -> Keeps:
    nodes = {node.code: node for node in book.lots}
    made = {node.code: node for node in book.batches}
    inside: dict[str, Inside] = defaultdict(Inside)
    found = Keeps({}, {}, book.valuation)

    def batch_of(code: str) -> KeptBatch:
        """Once all that went in is there."""
        lot = made[code].lot
        ended = nodes[lot].began if lot else None
        keep = keep_batch(batches[code], made[code], inside[code], ended)
        found.batches[batches[code]] = keep
        return keep.row

    for code, value in book.valuation.lots.items():
        node = nodes[code]
        if node.batch and not node.started:
            continue
        row = batch_of(node.batch) if node.batch else None
        keep = keep_lot(lots[code], node, value, row, batches)
        found.lots[lots[code]] = keep
        for flow in node.flows:
            if flow.kind == "used" and flow.batch and flow.on:
                inside[flow.batch].take(flow.on, value.taken[flow.id], keep.row)
    for code, pk in batches.items():
        if pk not in found.batches:
            batch_of(code)
    for code, node in nodes.items():
        # What was made and taken back: its batch stands open.
        if node.batch and not node.started:
            row, value = (
                found.batches[batches[node.batch]].row,
                book.valuation.lots[code],
            )
            found.lots[lots[code]] = keep_lot(lots[code], node, value, row, batches)
    return found
