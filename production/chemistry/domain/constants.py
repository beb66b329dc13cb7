"""Atomic weights and what follows from them: molar masses in g/mol."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Context, Decimal
from types import MappingProxyType

from production.quantities.domain.numbers import ONE as ONE
from production.quantities.domain.numbers import ZERO as ZERO

# Chemistry is worked in this context, so that a balance closes far below a
# milligram; copy it with ``localcontext(EXACT)``.
EXACT = Context(prec=50)

# Conventional standard atomic weights, CIAAW (IUPAC), https://www.ciaaw.org
ATOMIC_WEIGHTS: Mapping[str, Decimal] = MappingProxyType(
    {
        "H": Decimal("1.008"),
        "C": Decimal("12.011"),
        "N": Decimal("14.007"),
        "O": Decimal("15.999"),
        "Na": Decimal("22.98976928"),
        "P": Decimal("30.973761998"),
        "K": Decimal("39.0983"),
        "Cl": Decimal("35.45"),
        "I": Decimal("126.90447"),
    }
)

_FORMULA = re.compile(r"(?:[A-Z][a-z]?[0-9]*)+")
_ATOM = re.compile(r"([A-Z][a-z]?)([0-9]*)")


def atoms(formula: str) -> dict[str, int]:
    """How many of each element a plain formula such as ``C18H34O2`` names.

    Raises ValueError for anything else, and for an element not in the table.
    """
    named = _ATOM.findall(formula) if _FORMULA.fullmatch(formula) else []
    if not named or any(element not in ATOMIC_WEIGHTS for element, _ in named):
        raise ValueError(f"{formula!r} is not a formula of {', '.join(ATOMIC_WEIGHTS)}")
    found: dict[str, int] = {}
    for element, count in named:
        found[element] = found.get(element, 0) + int(count or 1)
    return found


def molar_mass(formula: str) -> Decimal:
    """Add up the atoms of a formula, in g/mol."""
    counted = atoms(formula).items()
    return sum((ATOMIC_WEIGHTS[element] * count for element, count in counted), ZERO)


WATER = molar_mass("H2O")
GLYCEROL = molar_mass("C3H8O3")
ALKALIS: Mapping[str, Decimal] = MappingProxyType(
    {"KOH": molar_mass("KOH"), "NaOH": round(molar_mass("NaOH"), 5)}
)
KOH = ALKALIS["KOH"]
NAOH = ALKALIS["NaOH"]


@dataclass(frozen=True, slots=True)
class AcidKind:
    """An acid that takes up alkali; ``hydrogens`` is how many of its H do."""

    name: str
    dry: Decimal
    as_sold: Decimal
    hydrogens: int


_CITRIC = molar_mass("C6H8O7")
ACID_KINDS: Mapping[str, AcidKind] = MappingProxyType(
    {
        "citric": AcidKind("citric", _CITRIC, _CITRIC, 3),
        "citric monohydrate": AcidKind("citric", _CITRIC, _CITRIC + WATER, 3),
        "lactic": AcidKind("lactic", molar_mass("C3H6O3"), molar_mass("C3H6O3"), 1),
        "acetic": AcidKind("acetic", molar_mass("C2H4O2"), molar_mass("C2H4O2"), 1),
    }
)

# Grams that dissolve in 100 g of water at 20 degC. KOH: general encyclopedia entry
# "potassium hydroxide"; NaOH: two published solubility tables that agree up to
# 20 degC. A cold room holds less: NaOH only 51 g at 10 degC.
SOLUBILITY_AT_20: Mapping[str, Decimal] = MappingProxyType(
    {"KOH": Decimal(112), "NaOH": Decimal(109)}
)
