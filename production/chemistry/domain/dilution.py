"""Dilution: soap stays, water joins. Mass fractions of the whole, grams unrounded."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext
from types import MappingProxyType

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.validation import (
    above_zero,
    not_negative,
    share,
    share_above_zero,
)
from production.quantities.domain.numbers import ONE, ZERO, grams, plain
from production.quantities.domain.refusal import Refused


@dataclass(frozen=True, slots=True)
class Dilution:
    """Grams of paste, of water to add, and of both together."""

    paste: Decimal
    water: Decimal
    total: Decimal


@dataclass(frozen=True, slots=True)
class Finish:
    """A dilution with additions; everything but the paste is what to weigh in."""

    paste: Decimal
    water: Decimal
    additions: Mapping[str, Decimal]
    total: Decimal


def dilute_by(paste: Decimal, parts: Decimal) -> Dilution:
    """So many parts of water by mass to one part of paste."""
    above_zero(paste, "the grams of paste")
    not_negative(parts, "the parts of water")
    with localcontext(EXACT):
        return Dilution(paste, paste * parts, paste * (ONE + parts))


def strength_after(soap_fraction: Decimal, parts: Decimal) -> Decimal:
    """The soap content that so many parts of water to one part of paste give."""
    share(soap_fraction, "the soap content of the paste")
    not_negative(parts, "the parts of water")
    with localcontext(EXACT):
        return soap_fraction / (ONE + parts)


def finish_to(
    paste: Decimal,
    soap_fraction: Decimal,
    target: Decimal,
    additions: Mapping[str, Decimal],
) -> Finish:
    """Dilute and finish in one: each addition is a share of the finished mass.

    The soap alone fixes the finished mass; water takes what the additions leave.
    Raises Refused where they leave none.
    """
    above_zero(paste, "the grams of paste")
    share_above_zero(soap_fraction, "the soap content of the paste")
    share_above_zero(target, "the soap content wanted")
    for name, part in additions.items():
        share(part, f"the share of {name}")
    if target > soap_fraction:
        raise Refused(
            f"A paste of {plain(round(soap_fraction * 100, 1))} % soap cannot be "
            f"diluted to {plain(round(target * 100, 1))} %: ask for less, or cook a "
            "drier paste."
        )
    with localcontext(EXACT):
        total = paste * soap_fraction / target
        amounts = {name: part * total for name, part in additions.items()}
        water = total - paste - sum(amounts.values(), ZERO)
    if water < 0:
        raise Refused(
            f"The additions and the paste are {grams(-water)} g more than the finished "
            f"mass of {grams(total)} g: ask for less soap or smaller additions."
        )
    return Finish(paste, water, MappingProxyType(amounts), total)
