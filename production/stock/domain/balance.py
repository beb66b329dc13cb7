"""The law of mass for one batch: what went in is what came out, and where it went."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from production.quantities.domain.refusal import Refused

COOK = "cook"
BAND = Decimal("0.005")  # 0.5 % of the grams used: common practice, no source
SCALE_STEP = Decimal("0.1")  # grams, a bench scale's: common practice, no source


@dataclass(frozen=True, slots=True)
class Balance:
    """Grams: used = made + evaporation + named losses + difference, exactly."""

    used: Decimal
    made: Decimal
    evaporation: Decimal
    named: Mapping[str, Decimal]
    difference: Decimal


def balance(
    used_grams: Decimal,
    made_grams: Decimal,
    stage: str,
    named_losses: Mapping[str, Decimal],
) -> Balance:
    """Where the grams of one batch went.

    What no name accounts for is evaporation in a cook, and a weighing difference in
    any other stage. Below zero (more made than used) it is always a difference.
    Refused for a named loss below zero.
    """
    for name, loss in named_losses.items():
        if loss < 0:
            raise Refused(f"The loss {name} is below zero: write what was lost.")
    rest = used_grams - made_grams - sum(named_losses.values(), Decimal(0))
    boiled_off = rest if stage == COOK and rest > 0 else Decimal(0)
    named = MappingProxyType(dict(named_losses))
    return Balance(used_grams, made_grams, boiled_off, named, rest - boiled_off)


def scale_errs(used: Decimal, band: Decimal = BAND) -> Decimal:
    """Grams by which what came out of so much may differ by the scales alone."""
    return max(band * used, SCALE_STEP)


def beyond_band(balance: Balance, band: Decimal = BAND) -> bool:
    """Whether the difference is more than the scales may err by."""
    return abs(balance.difference) > scale_errs(balance.used, band)


def net_grams(pieces: Decimal, net_mass: Decimal | None) -> Decimal | None:
    """Pieces in grams of contents; None where that is unknown: not judged."""
    return None if net_mass is None else pieces * net_mass
