"""What a price would have to be in each channel, and what it leaves there."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.domain.channels import Channel, Sold, sold
from costing.domain.pricing import BreakEven, break_even
from production.quantities.domain.refusal import Refused


@dataclass(frozen=True, slots=True)
class Wanted:
    """A margin of the price or a markup of the cost; neither: nothing is asked for.

    ``fixed`` are the costs of a month that no piece carries; None: not said. ``hours``
    of work are in one piece; None: not known.
    """

    margin: Fraction | None = None
    markup: Fraction | None = None
    fixed: Fraction | None = None
    hours: Fraction | None = None

    def __post_init__(self) -> None:
        if self.margin is not None and self.markup is not None:
            raise Refused(
                "A margin and a markup ask for two prices: write one of the two."
            )


@dataclass(frozen=True, slots=True)
class Offer:
    """``price`` is ``exact`` rounded up to the channel's steps; None: ``says`` why not.

    ``even`` None: no fixed costs are said, or ``loses``: no number covers them.
    """

    exact: Fraction | None
    price: Decimal | None
    sold: Sold | None
    even: BreakEven | None = None
    loses: bool = False
    per_hour: Fraction | None = None
    says: str = ""


def offer(channel: Channel, parts: Mapping[str, Fraction], wanted: Wanted) -> Offer:
    """The price that such a margin or markup asks for. Never refused: it says why."""
    cost = sum(parts.values(), Fraction(0))
    try:
        if wanted.margin is not None:
            exact = channel.price_for_margin(cost, wanted.margin)
        else:
            exact = channel.price_for_markup(cost, wanted.markup or Fraction(0))
    except Refused as fault:
        return Offer(None, None, None, says=str(fault))
    price = channel.step.up(exact)
    return at(channel, price, parts, wanted, exact)


def at(
    channel: Channel,
    price: Decimal,
    parts: Mapping[str, Fraction],
    wanted: Wanted,
    exact: Fraction | None = None,
) -> Offer:
    """What this price leaves in a channel."""
    one = sold(channel, price, parts)
    even, loses = None, False
    if wanted.fixed is not None:
        try:
            even = break_even(one.net, one.contribution, wanted.fixed)
        except Refused:
            loses = True
    return Offer(exact, price, one, even, loses, one.per_hour(wanted.hours))


# What is drawn as one band, since a bottle's oils are not what is looked for here.
MATERIALS = "materials"
GATHERED = dict.fromkeys(
    ("oil", "alkali", "water", "additive", "fragrance", "material"), MATERIALS
)
COSTS = (MATERIALS, "packaging", "labour", "energy")
LEFT = "left"


@dataclass(frozen=True, slots=True)
class Band:
    """One hand's part of 100 of the price; ``start`` and ``width`` of the picture.

    The picture is 1000 wide; what is left below zero has no width there.
    """

    name: str
    amount: Fraction
    of_100: Decimal
    start: Decimal
    width: Decimal


def bands(one: Sold, parts: Mapping[str, Fraction]) -> list[Band]:
    """Who gets what of the price, in the order in which it is paid out.

    The parts add up to the price; where nothing is left the last one is below zero.
    Overhead is no part of it: it comes out of what is left.
    """
    amounts: dict[str, Fraction] = dict(one.taken)
    for name in COSTS:
        found = [
            cost for part, cost in parts.items() if GATHERED.get(part, part) == name
        ]
        if any(found):
            amounts[name] = sum(found, Fraction(0))
    amounts[LEFT] = one.contribution
    whole = sum((max(amount, Fraction(0)) for amount in amounts.values()), Fraction(0))
    rows, start = [], Fraction(0)
    for name, amount in amounts.items():
        width = max(amount, Fraction(0)) * 1000 / whole
        rows.append(
            Band(
                name,
                amount,
                _places(amount * 100 / one.price, 1),
                _places(start, 2),
                _places(width, 2),
            )
        )
        start += width
    return rows


def _places(value: Fraction, places: int) -> Decimal:
    return round(Decimal(value.numerator) / value.denominator, places)
