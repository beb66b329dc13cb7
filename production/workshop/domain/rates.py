"""Overhead of a year, shared on the hours of a normal one.

IAS 2.13: fixed overhead is shared on normal capacity. Few hours do not raise the rate,
and what they leave unshared is an expense of the year; unusually many lower it, so that
no more goes into stock than was paid.
"""

from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from fractions import Fraction

from production.quantities.domain.numbers import MONEY_STEP


@dataclass(frozen=True, slots=True)
class Shared:
    """What a year's overhead came to per unit, in stock, and as an expense: exact."""

    rate: Fraction
    applied: Fraction
    expensed: Fraction


def share_overhead(cost: Decimal, normal: Decimal, worked: Decimal) -> Shared:
    """Share a cost over what was worked; ``normal`` and ``worked`` in one unit.

    ``normal`` is above zero.
    """
    whole, done = Fraction(cost), Fraction(worked)
    rate = whole / max(Fraction(normal), done)
    applied = rate * done
    return Shared(rate, applied, whole - applied)


def hourly(budget: Decimal, normal: Decimal) -> Decimal:
    """The rate of an hour to 4 places, down: no more is shared than there is."""
    return (budget / normal).quantize(MONEY_STEP, rounding=ROUND_DOWN)


def lowered(rate: Decimal, actual: Decimal, applied: Decimal) -> Decimal:
    """A rate that was applied, once no more than the actual cost may be in stock.

    To 4 places, rounded down: the rest is an expense. It never rises.
    """
    if applied <= actual:
        return rate
    return (rate * actual / applied).quantize(MONEY_STEP, rounding=ROUND_DOWN)
