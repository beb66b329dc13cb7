"""The small words of the history file."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from production.domain.history import Event

# Where something stands in the book: its day, then its deed.
Spot = tuple[date, int]
# What other parts of the house keep with each closing, by its key: filled at start-up.
TOLD_WITH_CLOSINGS: list[Callable[[], Mapping[int, dict[str, Any]]]] = []


@dataclass(frozen=True, slots=True)
class Told:
    """An event and its place: business date, deed, place within the deed."""

    on: date
    deed: int
    place: int
    event: Event


def not_before(on: date, deed: int, *spots: Spot) -> Spot:
    """A note dated before what it is about can only be told after it."""
    for spot in spots:
        on, deed = max(on, spot[0]), max(deed, spot[1])
    return on, deed
