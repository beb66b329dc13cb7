"""The small words of the history file."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from production.domain.numbers import plain

Facts = dict[str, Any]
# Where something stands in the book: its day, then its deed.
Spot = tuple[date, int]
# What other parts of the house keep with each closing, by its key: filled at start-up.
TOLD_WITH_CLOSINGS: list[Callable[[], Mapping[int, Facts]]] = []


@dataclass(frozen=True, slots=True)
class Told:
    """An event and its place: business date, deed, place within the deed."""

    on: date
    deed: int
    place: int
    facts: Facts


def not_before(on: date, deed: int, spot: Spot) -> Spot:
    """A note dated before what it is about can only be told after it."""
    return max(on, spot[0]), max(deed, spot[1])


def some(facts: Facts, **more: Any) -> Facts:
    """Add only what says something."""
    for key, value in more.items():
        if value not in (None, "", [], {}, False):
            facts[key] = value
    return facts


def figure(value: Decimal | None) -> str | None:
    return None if value is None else plain(Decimal(value))


def day(value: date | None) -> str | None:
    return value.isoformat() if value else None
