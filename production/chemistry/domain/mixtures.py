"""What one gram of a mixture holds of what rules of thumb ask for.

In water every cation belongs to every anion: sodium of a brine, a lactate or a citrate
counts beside that of the lye.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal, localcontext

from production.chemistry.domain.constants import EXACT, KOH, NAOH, atoms, molar_mass
from production.chemistry.domain.profile import Figure
from production.chemistry.domain.saponification import Saponification
from production.quantities.domain.numbers import ONE, ZERO


@dataclass(frozen=True, slots=True)
class Within:
    """Moles of potassium and sodium, grams of soap and of added glycerin.

    Not ``known`` where it holds a salt of which nobody said which.
    """

    potassium: Decimal = ZERO
    sodium: Decimal = ZERO
    soap: Decimal = ZERO
    glycerin: Decimal = ZERO
    known: bool = True

    def figures(self) -> dict[str, Figure | None]:
        """As rules read them; without a known cation there is no potassium share."""
        with localcontext(EXACT):
            cations = self.potassium + self.sodium
            share = self.potassium / cations if cations and self.known else None
        return {
            "potassium_share": exactly("potassium share of the soap", share),
            "soap_content": exactly("soap content", self.soap),
            "glycerin": exactly("added glycerin", self.glycerin),
        }


def exactly(name: str, value: Decimal | None) -> Figure | None:
    """A figure without a range."""
    return None if value is None else Figure(name, value, value, value)


def together(parts: Iterable[tuple[Decimal, Within]]) -> Within:
    """So much of each, added up."""
    parts = list(parts)
    with localcontext(EXACT):
        return Within(
            potassium=sum((amount * of.potassium for amount, of in parts), ZERO),
            sodium=sum((amount * of.sodium for amount, of in parts), ZERO),
            soap=sum((amount * of.soap for amount, of in parts), ZERO),
            glycerin=sum((amount * of.glycerin for amount, of in parts), ZERO),
            known=all(of.known for _, of in parts),
        )


def of_salt(formula: str, purity: Decimal = ONE) -> Within:
    """One gram of a salt, water and the rest left aside by its purity."""
    found = atoms(formula)
    with localcontext(EXACT):
        moles = purity / molar_mass(formula)
        return Within(
            potassium=moles * found.get("K", 0), sodium=moles * found.get("Na", 0)
        )


def of_cook(result: Saponification) -> Within:
    """A whole pot: what its alkalis bring, and its soap."""
    with localcontext(EXACT):
        return Within(
            potassium=result.koh_pure / KOH,
            sodium=result.naoh_pure / NAOH,
            soap=result.soap_potassium + result.soap_sodium,
        )
