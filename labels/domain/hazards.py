"""How what is sold to another maker is classed by the alkali left in it, or by its pH.

A bottle for the consumer is outside of this as a cosmetic; paste and base are not. A
supplier's own data sheet outranks these sums.
"""

from dataclasses import dataclass, replace
from decimal import Decimal

CLP = "Regulation (EC) 1272/2008 Annex VI, index 019-002-00-8 and 011-002-00-6"
CANADA = "SOR/2015-17 s. 8.2.5, 8.3.5 (through 8.2.9(1) for a mixture)"
# pH from which a thing is taken as corrosive unless its alkali reserve shows otherwise.
CORROSIVE_FROM = Decimal("11.5")


@dataclass(frozen=True, slots=True)
class Class:
    """A hazard class with its statements; ``name`` "" is none by concentration."""

    name: str
    statements: tuple[str, ...]
    signal: str


# Free KOH or NaOH in percent, from which, and the class by specific limits of the CLP;
# that 0.5 % irritates the eyes too is from memory.
_BY_SHARE = (
    # H290 as the data sheets of lyes say.
    (Decimal(5), Class("Skin Corr. 1A", ("H314", "H290"), "Danger")),
    (Decimal(2), Class("Skin Corr. 1B", ("H314",), "Danger")),
    (
        Decimal("0.5"),
        Class("Skin Irrit. 2, Eye Irrit. 2", ("H315", "H319"), "Warning"),
    ),
)
NO_CLASS = Class("", (), "")


# What of KOH harms by mouth, mg/kg, and up to where a mixture counts: from memory.
_KOH_BY_MOUTH, _HARMFUL_UP_TO = Decimal(333), Decimal(2000)


def class_by_alkali(percent: Decimal, alkali: str = "KOH") -> Class:
    """The class of a mixture by its free KOH or NaOH, in percent."""
    made = next((made for limit, made in _BY_SHARE if percent >= limit), NO_CLASS)
    if alkali == "KOH" and percent * _HARMFUL_UP_TO >= _KOH_BY_MOUTH * 100:
        return replace(made, statements=(*made.statements, "H302"))
    return made


def corrosive_by_ph(ph: Decimal) -> bool:
    """Whether the pH alone makes it corrosive to skin and eyes, category 1.

    pH 2 and below, 11.5 and above, where no alkali reserve was assessed.
    """
    return ph >= CORROSIVE_FROM or ph <= 2
