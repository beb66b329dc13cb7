"""What is put into a batch at the bench."""

from production.batches.actions.new_batch import Use
from production.workshop.models.items import Item


def put_in(bench, source, amount):
    """What goes in of a lot, the next packs after it, or of what is on tap."""
    if isinstance(source, Item):
        total = amount.grams_or_pieces
        return [Use(item=source, amount=total, typed=amount.typed)]
    parts = bench.take(source, amount.grams_or_pieces)
    typed = amount.typed if len(parts) == 1 else ""
    return [
        Use(lot=part.lot, amount=part.amount, place=part.place, typed=typed)
        for part in parts
    ]
