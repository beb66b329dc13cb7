"""What a product cost lot by lot, as bars: measures in whole units of an SVG.

The picture reads from the first lot made to the last; the table beside it has the
figures, and a bar is only as true as a pen.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.domain.components import ORDER

# From one bar to the next: few lots spread over the page.
PAGE, NARROW, BROAD, TALL = 1000, 64, 140, 240
LEFT, TOP, FOOT, EDGE = 56, 28, 84, 12
TICKS = 4


@dataclass(frozen=True, slots=True)
class Piece:
    """One component of one bar, from ``y`` downwards."""

    component: str
    y: Decimal
    height: Decimal


@dataclass(frozen=True, slots=True)
class Bar:
    """One lot; ``pieces`` is empty where its cost is not known, ``top`` then the foot.

    ``middle`` is where its words stand.
    """

    code: str
    x: int
    middle: int
    top: Decimal
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Tick:
    """A line across at a round figure, in currency."""

    figure: Decimal
    y: Decimal


@dataclass(frozen=True, slots=True)
class Bars:
    bars: tuple[Bar, ...]
    ticks: tuple[Tick, ...]
    width: int
    height: int
    bar: int

    @property
    def foot(self) -> int:
        return TOP + TALL


def bars_of(lots: Sequence[tuple[str, Mapping[str, Fraction] | None]]) -> Bars:
    """(code, cost by component or None) in the order of making; no credit is drawn."""
    sums = [_above_zero(parts) for _, parts in lots if parts is not None]
    step = _round_step(max(sums, default=Fraction(0)))
    most = step * TICKS
    pitch = min(max(PAGE // max(len(lots), 1), NARROW), BROAD)
    wide = pitch * 5 // 8
    bars = []
    for place, (code, parts) in enumerate(lots):
        x, y, pieces = LEFT + EDGE + place * pitch, Fraction(TOP + TALL), []
        for name in ORDER:
            cost = (parts or {}).get(name, Fraction(0))
            if cost > 0:
                height = cost * TALL / most
                y -= height
                pieces.append(Piece(name, _pen(y), _pen(height)))
        bars.append(Bar(code, x, x + wide // 2, _pen(y), tuple(pieces)))
    ticks = [
        Tick(
            Decimal(figure.numerator) / figure.denominator,
            _pen(TOP + TALL - figure * TALL / most),
        )
        for figure in (step * count for count in range(TICKS + 1))
    ]
    width = LEFT + 2 * EDGE + max(len(lots), 1) * pitch
    return Bars(tuple(bars), tuple(ticks), width, TOP + TALL + FOOT, wide)


def _above_zero(parts: Mapping[str, Fraction]) -> Fraction:
    return sum((max(cost, Fraction(0)) for cost in parts.values()), Fraction(0))


def _round_step(most: Fraction) -> Fraction:
    """1, 2, 2.5 or 5 at some place, so that ``TICKS`` of them reach above ``most``."""
    if most <= 0:
        return Fraction(1)
    size = Fraction(1)
    while size * TICKS >= most:
        size /= 10
    while True:
        for step in (Fraction(1), Fraction(2), Fraction(5, 2), Fraction(5)):
            if size * step * TICKS >= most:
                return size * step
        size *= 10


def _pen(value: Fraction) -> Decimal:
    return round(Decimal(value.numerator) / value.denominator, 2)
