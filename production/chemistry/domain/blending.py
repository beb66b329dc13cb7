"""Two lots into one, and what is added by share of the finished mass.

Grams and plain fractions, unrounded. A paste is diluted and finished in one by
``dilution.finish_to``; here nothing is diluted.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext
from types import MappingProxyType

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.validation import above_zero, share, stated
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused


@dataclass(frozen=True, slots=True)
class Blend:
    """Grams of each of two lots, and of both together."""

    first: Decimal
    second: Decimal
    total: Decimal


@dataclass(frozen=True, slots=True)
class Added:
    """Grams of soap, of each addition, and of the finished whole."""

    soap: Decimal
    additions: Mapping[str, Decimal]
    total: Decimal


def blend_to(target: Decimal, a: Decimal, b: Decimal, total: Decimal) -> Blend:
    """How much of two lots gives a wanted figure that mixes by mass.

    Soap content, salt, superfat of like soaps: figures of a gram. Raises Refused
    where the target is not between the two, or both are the same.
    """
    above_zero(total, "the grams wanted")
    for figure, what in ((a, "the first lot"), (b, "the second lot")):
        stated(figure, f"the figure of {what}")
    stated(target, "the figure wanted")
    _check_between(target, a, b)
    with localcontext(EXACT):
        first = total * (target - b) / (a - b)
        return Blend(first, total - first, total)


def thickness_blend(
    target: Decimal, thick: Decimal, thin: Decimal, total: Decimal
) -> Blend:
    """A first guess at how much thick and thin soap gives a wanted viscosity.

    Arrhenius' mixing rule, linear in the logarithm of the viscosity, by mass; one unit
    for all three. Common practice, no source, and a guess only: soap thickened with
    salt is not ideal and can come out thicker or thinner than both. Blend a bench
    sample first. Raises Refused where the target is not between the two.
    """
    above_zero(total, "the grams wanted")
    for figure, what in ((target, "wanted"), (thick, "thick"), (thin, "thin")):
        above_zero(figure, f"the viscosity {what}")
    _check_between(target, thick, thin)
    with localcontext(EXACT):
        first = total * (target / thin).ln() / (thick / thin).ln()
        return Blend(first, total - first, total)


def _check_between(target: Decimal, a: Decimal, b: Decimal) -> None:
    if a == b:
        raise Refused(
            f"Both lots have {plain(a)}: any blend of them does too. Choose others."
        )
    if not min(a, b) <= target <= max(a, b):
        raise Refused(
            f"No blend of {plain(a)} and {plain(b)} gives {plain(target)}: ask for a "
            "figure between them, or choose other lots."
        )


def add_to(soap_mass: Decimal, shares: Mapping[str, Decimal]) -> Added:
    """Additions as shares of the finished mass, on top of a fixed amount of soap.

    total = soap / (1 - sum of shares). Raises Refused where they leave no soap.
    """
    above_zero(soap_mass, "the grams of soap")
    for name, part in shares.items():
        share(part, f"the share of {name}")
    with localcontext(EXACT):
        together = sum(shares.values(), ZERO)
        if together >= ONE:
            raise Refused(
                f"The additions are {plain(together)} of the finished mass: make them "
                "smaller, they leave no room for soap."
            )
        total = soap_mass / (ONE - together)
        amounts = {name: part * total for name, part in shares.items()}
        return Added(soap_mass, MappingProxyType(amounts), total)
