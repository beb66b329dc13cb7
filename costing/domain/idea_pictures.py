"""A planned bottle to look at: what a tenth more does, the size of the batch, ages."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from fractions import Fraction

from costing.domain.planned_bottle import BottleLine, PlannedBottle
from costing.domain.rollup import NANO

# Sizes of a batch beside the one that is planned.
TIMES = tuple(map(Decimal, ("0.25", "0.5", "0.75", "1", "1.5", "2", "3", "4")))
# The frame of the curve, in units of its picture.
WIDE, HIGH, LEFT, TOP = 600, 230, 40, 50


@dataclass(frozen=True, slots=True)
class Tenth:
    """What 10 % on one line does to the bottle, in currency; ``width`` is thousandths
    of the longest bar, ``share`` that of the line in the known cost."""

    line: BottleLine
    more: Decimal
    share: Decimal
    width: Decimal


def tenths(bottle: PlannedBottle) -> list[Tenth]:
    """The known lines, the one that matters most first."""
    costs = [(line, line.cost) for line in bottle.lines if line.cost]
    most = max((cost for _, cost in costs), default=0)
    found = [
        Tenth(
            line=line,
            more=Decimal(cost) / NANO / 10,
            share=round(Decimal(cost) / bottle.at_least, 4),
            width=round(Decimal(1000 * cost) / most, 1),
        )
        for line, cost in costs
    ]
    return sorted(found, key=lambda one: -one.more)


@dataclass(frozen=True, slots=True)
class Size:
    """What a piece costs in a batch of so many, and where it stands in the picture."""

    pieces: Decimal
    cost: Decimal
    here: bool
    x: Decimal
    y: Decimal


def sizes_beside(pieces: Decimal) -> list[Decimal]:
    """Sizes of a batch to look at, the planned one among them, smallest first."""
    return sorted(
        {(pieces * many).to_integral_value(ROUND_CEILING) for many in TIMES} | {pieces}
    )


def curve(costs: Sequence[tuple[Decimal, Fraction]], here: Decimal) -> list[Size]:
    """Points of a picture: cost upwards from nothing, pieces to the right, where twice
    as many is always as far."""
    if not costs:
        return []
    most = max(cost for _, cost in costs) or Fraction(1)
    least = min(pieces for pieces, _ in costs)
    span = (max(pieces for pieces, _ in costs) / least).ln() or Decimal(1)
    return [
        Size(
            pieces=pieces,
            cost=_decimal(cost),
            here=pieces == here,
            x=round(LEFT + (WIDE - 2 * LEFT) * (pieces / least).ln() / span, 1),
            y=round(HIGH - (HIGH - TOP) * _decimal(cost / most), 1),
        )
        for pieces, cost in costs
    ]


def path_of(points: Iterable[Size]) -> str:
    """The way through the points, as SVG has it."""
    return " ".join(
        f"{'L' if place else 'M'}{one.x} {one.y}" for place, one in enumerate(points)
    )


def cents(value: Fraction) -> Decimal:
    """Money as a page shows it: half up to the hundredth."""
    return _decimal(value).quantize(Decimal("0.01"), ROUND_HALF_UP)


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / value.denominator


def age(on: date, today: date) -> str:
    """How long ago a day was: days up to two months, months up to two years."""
    days = (today - on).days
    if days <= 1:
        return "yesterday" if days == 1 else "today"
    months = (today.year - on.year) * 12 + today.month - on.month
    months -= today.day < on.day
    if months < 2:
        return f"{days} days ago"
    return f"{months} months ago" if months < 24 else f"{months // 12} years ago"
