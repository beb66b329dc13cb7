"""Values that are typed and cannot well be so: asked about, paper in hand.

Shares are fractions, saponification and acid values mg KOH per g.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from production.chemistry.domain.bands import floor_upper_end
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused

PURITY, CARBONATE = "purity", "carbonate"
SV, ACID_VALUE = "saponification value", "acid value"
# Solid potash keeps water: what is sold holds 90 to 92 % KOH, as KOH and KOH·H2O
# (The Great Soviet Encyclopedia, 3rd ed., "Potassium hydroxide"); JECFA and the USP ask
# for 85.0 % or more. Soda: USP 95.0 to 100.5 % as total alkali, carbonate counted in;
# flakes are sold at 98 ± 1 %. That nothing above 99.5 % comes in a tub of flakes is
# common practice, no source.
MOST_IN_FLAKES = {"KOH": Decimal("0.92"), "NaOH": Decimal("0.995")}
# The highest acid value that CODEX STAN 210-1999, 1.7, lets a named vegetable oil
# have: virgin palm oil. Cold pressed oils 4.0, refined ones 0.6.
MOST_ACID = Decimal(10)
# A printed digit is good to half of itself. "90 %" and "90.0 %" are one number here,
# so at most half a percent; no certificate of flakes is better than 0.1 %: from memory.
_FINEST, _COARSEST = Decimal("0.0005"), Decimal("0.005")


@dataclass(frozen=True, slots=True)
class KnownOil:
    """What is published of the oil that a lot is of."""

    name: str
    sv_low: Decimal
    sv_high: Decimal
    kind: str = "fat"


def doubt(
    what: str, value: Decimal, *, alkali: str = "", oil: KnownOil | None = None
) -> str:
    """The sentence that names a value and what it should lie in; "" where it does."""
    if what == PURITY:
        return _too_pure(value, alkali)
    if oil is None:
        return ""
    if what == SV and not oil.sv_low <= value <= oil.sv_high:
        return _outside(what, value, oil)
    if what == ACID_VALUE:
        return _too_acid(value, oil)
    return ""


def _too_pure(value: Decimal, alkali: str) -> str:
    most = MOST_IN_FLAKES.get(alkali)
    if most is None or value <= most:
        return ""
    keeps = (
        "solid potash keeps water and holds"
        if alkali == "KOH"
        else "soda draws damp as soon as it is opened and holds"
    )
    return (
        f"A purity of {_percent(value)} is more than flakes of {alkali} have: {keeps} "
        f"{_percent(most)} at most."
    )


def _outside(what: str, value: Decimal, oil: KnownOil) -> str:
    return (
        f"A {what} of {plain(value)} is outside the published {plain(oil.sv_low)} to "
        f"{plain(oil.sv_high)} mg KOH/g of {oil.name}."
    )


def _too_acid(value: Decimal, oil: KnownOil) -> str:
    """All of a fatty acid is acid; of an oil only what has split off."""
    if oil.kind == "acid":
        inside = oil.sv_low <= value <= oil.sv_high
        return "" if inside else _outside(ACID_VALUE, value, oil)
    most = MOST_ACID if oil.kind == "fat" else oil.sv_high
    if value <= most:
        return ""
    return (
        f"An acid value of {plain(value)} is above the {plain(most)} mg KOH/g that "
        f"{oil.name} may have."
    )


def whole_alkali(purity: Decimal | None, carbonate: Decimal | None) -> None:
    """Refuse two shares of one tub that come to more than the tub."""
    shares = [purity or ZERO, carbonate or ZERO]
    together = sum(shares, ZERO)
    # One that is no share by itself is refused for that.
    if together > 1 and all(0 <= share <= 1 for share in shares):
        raise Refused(
            f"Purity and carbonate together are {_percent(together)}, more than the "
            "whole. Read the certificate again."
        )


def purity_band(
    purity: Decimal, carbonate: Decimal = ZERO, *, floor: bool = False
) -> tuple[Decimal, Decimal]:
    """How low and how high a purity may truly be.

    What is printed is good to half of its last digit. A floor is never below itself,
    and never known better upwards than a printed figure would be.
    """
    half = _half_a_digit(purity)
    high = min(purity + half, ONE)
    if floor:
        return purity, max(high, floor_upper_end(carbonate))
    return max(purity - half, ZERO), high


def _half_a_digit(purity: Decimal) -> Decimal:
    exponent = (purity * 100).normalize().as_tuple().exponent
    places = -exponent if isinstance(exponent, int) else 0
    half = Decimal(5).scaleb(-max(places, 0) - 3)
    return min(max(half, _FINEST), _COARSEST)


def _percent(share: Decimal) -> str:
    percent = (share * 100).quantize(Decimal("0.0001"), rounding=ROUND_HALF_UP)
    return f"{plain(percent)} %"
