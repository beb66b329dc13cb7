"""How dense a thing may be: one rule for every box and column that asks."""

from decimal import Decimal

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

# All of them are the same figure.
GRAMS_PER_ML = {"g/ml", "kg/l", "g/cm3", "g/cc", "g per ml", "kg per l"}
# Oils, lyes and soaps lie far within: common practice, no source.
LIGHTEST, DENSEST = Decimal("0.5"), Decimal("2.5")


def without_unit(text: str) -> str:
    """``0.92`` of ``0.92 g/mL``; any other unit stays, and is refused as no number."""
    typed = text.strip()
    for unit in GRAMS_PER_ML:
        if typed.casefold().endswith(unit):
            return typed[: -len(unit)].rstrip()
    return typed


def refuse_odd_density(value: Decimal) -> None:
    """``value`` in g/mL; refused below 0.5 and above 2.5."""
    if not LIGHTEST <= value <= DENSEST:
        raise Refused(
            f"{plain(value)} g/mL is no density of anything here, which lies between "
            f"{LIGHTEST} and {DENSEST}. Write grams for one mL, such as 0.92."
        )
