"""Cost to price and back: markup, margin, price steps, contribution, break-even.

All exact fractions, in currency and shares of one; rounding is for the page. Markup is
of the cost, margin of the price: OpenStax Principles of Accounting vol. 2 (Managerial),
chapter 3, for contribution and break-even; the identities between markup and margin
need no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from production.quantities.domain.numbers import grouped, money, plain
from production.quantities.domain.refusal import Refused

Figure = Fraction | Decimal | int
ZERO, ONE = Fraction(0), Fraction(1)
# What is not spent because one piece more is made: it stands in a year's fixed costs,
# and counted in the piece as well it would stand in a break-even twice.
FIXED = "overhead"


def markup_of(cost: Figure, price: Figure) -> Fraction:
    """(price - cost) / cost. Refused where the cost is nothing."""
    cost, price = Fraction(cost), Fraction(price)
    if cost <= 0:
        raise Refused("What costs nothing has no markup: give a cost above zero.")
    return (price - cost) / cost


def margin_of(cost: Figure, price: Figure) -> Fraction:
    """(price - cost) / price. Refused where the price is nothing."""
    cost, price = Fraction(cost), Fraction(price)
    if price <= 0:
        raise Refused("A price of nothing has no margin: give a price above zero.")
    return (price - cost) / price


def margin_from(markup: Figure) -> Fraction:
    """markup / (1 + markup): 100 % markup is 50 % margin."""
    markup = Fraction(markup)
    if markup <= -1:
        raise Refused("A markup of -100 % or less gives the goods away.")
    return markup / (1 + markup)


def markup_from(margin: Figure) -> Fraction:
    """margin / (1 - margin)."""
    margin = below_the_whole(margin)
    return margin / (1 - margin)


def below_the_whole(margin: Figure) -> Fraction:
    """A margin as a share of the price. Refused at the whole price and above."""
    margin = Fraction(margin)
    if margin >= 1:
        raise Refused(
            f"A margin is a part of the price: {in_percent(margin)} would leave "
            "nothing for the cost. Write one below 100 %, or a markup, which may be "
            "more."
        )
    return margin


def price_for_margin(cost: Figure, margin: Figure) -> Fraction:
    """cost / (1 - margin), exact."""
    return Fraction(cost) / (1 - below_the_whole(margin))


@dataclass(frozen=True, slots=True)
class Step:
    """Which prices are asked for: every ``step``, and what they end on.

    0.05 and 0: 2.15, 2.20; 1 and 0.95: 2.95, 3.95. ``ending`` is below ``step``.
    """

    step: Decimal = Decimal("0.01")
    ending: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        if self.step <= 0:
            raise Refused("A price step is more than nothing: write 0.05, 0.50 or 1.")
        if not 0 <= self.ending < self.step:
            raise Refused(
                f"An ending lies below the step: {plain(self.ending)} does not, with a "
                f"step of {plain(self.step)}. For prices like 3.95 the step is 1 and "
                "the ending 0.95."
            )

    def up(self, price: Figure) -> Decimal:
        """The lowest such price at or above this one, and above zero."""
        step, ending = Fraction(self.step), Fraction(self.ending)
        count = max(ceil((Fraction(price) - ending) / step), 0)
        if not count and not ending:
            count = 1
        return self.step * count + self.ending


CENT = Step()


def keystone(cost: Figure) -> tuple[Fraction, Fraction]:
    """Wholesale and retail: double, and double again. Common practice, no source."""
    return 2 * Fraction(cost), 4 * Fraction(cost)


def variable_cost(parts: Mapping[str, Fraction]) -> Fraction:
    """What one piece more costs: all of its unit cost but the overhead in it."""
    return sum((cost for name, cost in parts.items() if name != FIXED), ZERO)


def contribution_ratio(contribution: Figure, net: Figure) -> Fraction:
    """Of the price without sales tax."""
    if Fraction(net) <= 0:
        raise Refused("A price of nothing has no contribution: give one above zero.")
    return Fraction(contribution) / Fraction(net)


@dataclass(frozen=True, slots=True)
class BreakEven:
    """``exact`` pieces, ``pieces`` whole ones, and the ``revenue`` of these, exact.

    Where no whole number meets it, the revenue is above fixed costs / ratio.
    """

    exact: Fraction
    pieces: int
    revenue: Fraction


def break_even(net: Figure, contribution: Figure, fixed: Figure) -> BreakEven:
    """From how many pieces on the fixed costs are covered.

    ``net`` is the price without sales tax, ``contribution`` what a piece leaves of it.
    Refused where a piece leaves nothing: then no number of them covers anything.
    """
    net, each, fixed = Fraction(net), Fraction(contribution), Fraction(fixed)
    if fixed < 0:
        raise Refused("Fixed costs are not below zero: write them without the minus.")
    if each <= 0:
        raise Refused(
            "Each piece costs more than it brings, so that no number of them covers "
            "the fixed costs. Raise the price, or lower what it costs."
        )
    exact = fixed / each
    pieces = ceil(exact)
    return BreakEven(exact, pieces, pieces * net)


def profit_at(pieces: int, contribution: Figure, fixed: Figure) -> Fraction:
    """What is left of the contribution of so many pieces after the fixed costs."""
    return pieces * Fraction(contribution) - Fraction(fixed)


def in_percent(share: Fraction) -> str:
    """A share as people read it, to a tenth of a percent: ``62.5 %``."""
    return f"{grouped(round(money(share) * 100, 1))} %"
