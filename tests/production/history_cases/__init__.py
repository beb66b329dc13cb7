"""History files that the suite keeps: a version-1 file imports for ever."""

import json

from tests.production.history_cases.book import BOOK
from tests.production.history_cases.cards import CARDS
from tests.production.history_cases.first_month import (
    FIRST_MONTH,
    FIRST_MONTH_CANONICAL,
    FIRST_MONTH_STOCK,
)

__all__ = [
    "EVERY_TYPE",
    "FIRST_MONTH",
    "FIRST_MONTH_CANONICAL",
    "FIRST_MONTH_STOCK",
    "file_of",
]

# Every type of event at least once.
EVERY_TYPE = [*CARDS, *BOOK]


def file_of(events, currency="USD"):
    """A history file of some events, one a line."""
    body = ",\n ".join(json.dumps(event, ensure_ascii=False) for event in events)
    head = {"format": "kettlebook-history", "version": 1, "currency": currency}
    return f'{json.dumps(head)[:-1]}, "events": [\n {body}]}}\n'
