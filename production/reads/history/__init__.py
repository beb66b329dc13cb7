"""The whole past as events of the history file, in the book's order.

What was taken back leaves the file: an event tells what stands. So the file can
always be replayed, and exporting it again gives the same bytes.
"""

from production.reads.history.cards import cards, hints
from production.reads.history.checks import Readings
from production.reads.history.ledger import Ledger, ledger_events
from production.reads.history.making import Making, formula_events
from production.reads.history.restoring import restored_events
from production.reads.history.told import Facts
from production.reads.history.trade import look_events, purchase_events, sale_events


def history_events() -> list[Facts]:
    """Every event that stands: first the cards, then the book."""
    book = Ledger()
    making = Making(book)
    told = [
        *formula_events(),
        *purchase_events(book),
        *making.events(),
        *sale_events(book),
        *look_events(book),
    ]
    # After the batches: their events say where each begins.
    told += ledger_events(book, making.begun)
    told += restored_events()
    readings = Readings(book, making.begun)
    told += [*readings.events(), *readings.taken_back()]
    told.sort(key=lambda event: (event.on, event.deed, event.place))
    # A rule that names its recipe comes when every recipe stands.
    bound = hints(recipe__isnull=False)
    return [*cards(), *(event.facts for event in told), *bound]
