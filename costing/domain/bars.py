"""Figures as bars on one scale, to stand beside their table."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

WHOLE = Decimal(100)


@dataclass(frozen=True, slots=True)
class Bar:
    """From ``start``, ``width`` wide, on a line of a hundred; ``zero`` is its axis."""

    start: Decimal
    width: Decimal
    zero: Decimal


def bars(figures: Sequence[int | None]) -> list[Bar]:
    """Each figure from zero, to the right where it is above; None has no width."""
    known = [one for one in figures if one is not None]
    low, high = min([0, *known]), max([0, *known])
    span = high - low or 1
    zero = round(-low * WHOLE / span, 2)
    found = []
    for one in figures:
        width = round(abs(one or 0) * WHOLE / span, 2)
        start = zero - width if (one or 0) < 0 else zero
        found.append(Bar(start, width, zero))
    return found
