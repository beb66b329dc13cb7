"""The whole past as events of the history file, in the book's order.

What was taken back leaves the file: an event tells what stands. So the file can
always be replayed, and exporting it again gives the same bytes.
"""

from typing import Any

from production.exchange.reads.batches import BatchEvents, formula_events
from production.exchange.reads.cards import cards, rules_of_thumb
from production.exchange.reads.checks import Readings
from production.exchange.reads.ledger import Ledger, ledger_events
from production.exchange.reads.rates import equipment_cards, rate_events
from production.exchange.reads.restoring import restored_events
from production.exchange.reads.trade import (
    credit_events,
    empties_events,
    look_events,
    purchase_events,
    sale_events,
)


def history_events() -> list[dict[str, Any]]:
    """Every event that stands, as it is written: first the cards, then the book."""
    book = Ledger()
    batches = BatchEvents(book)
    told = [
        *formula_events(),
        *rate_events(),
        *purchase_events(book),
        *batches.events(),
        *sale_events(book),
        *look_events(book),
        *empties_events(book),
        *credit_events(book),
    ]
    # After the batches: their events say where each begins.
    told += ledger_events(book, batches.begun)
    told += restored_events()
    readings = Readings(book, batches.begun)
    told += [*readings.events(), *readings.taken_back()]
    told.sort(key=lambda event: (event.on, event.deed, event.place))
    # A rule that names its recipe comes when every recipe stands.
    bound = rules_of_thumb(recipe__isnull=False)
    events = [*cards(), *equipment_cards(), *(one.event for one in told), *bound]
    return [event.facts() for event in events]
