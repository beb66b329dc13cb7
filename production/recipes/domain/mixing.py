"""The stages after the kettle: what to heed about what is mixed."""

from collections.abc import Iterable
from decimal import Decimal, localcontext

from production.chemistry.domain.constants import ACID_KINDS, EXACT, molar_mass
from production.quantities.domain.numbers import plain
from production.recipes.domain.scaling.plans import Line

# Usual figure of a potassium soap solution: from memory, no source; a green soap
# tincture is published at 9.5 to 11.5, liquid bath soap of the soap type at 8 to 11
# (SNI 06-4085-1996).
SOAP_PH = (Decimal(9), Decimal("10.5"))
OLEIC = molar_mass("C18H34O2")


def remarks(lines: Iterable[Line], stage: str) -> tuple[str, ...]:
    """What should be seen before shares are mixed; sentences for the person at the pot.

    Of each line its share, and what its card says.
    """
    said: list[str] = []
    for line in lines:
        said += [*_too_much(line), *_where_it_works(line), *_late_acid(line, stage)]
    return tuple(said)


def _too_much(line: Line) -> list[str]:
    most = line.item.most
    if most is None or line.amount <= most:
        return []
    return [
        f"{line.item.name} at {plain(line.amount * 100)} % is above the "
        f"{plain(most * 100)} % on its card: take less, or ask its supplier."
    ]


def _where_it_works(line: Line) -> list[str]:
    (low, high), item = SOAP_PH, line.item
    if item.ph_high is not None and item.ph_high < low:
        return [
            f"{item.name} works up to pH {plain(item.ph_high)}; a potassium soap "
            f"stands at about {plain(low)} to {plain(high)}: it does not protect it."
        ]
    if item.ph_low is not None and item.ph_low > high:
        return [
            f"{item.name} works from pH {plain(item.ph_low)}; a potassium soap stands "
            f"at about {plain(low)} to {plain(high)}."
        ]
    return []


def _late_acid(line: Line, stage: str) -> list[str]:
    """An acid in finished soap: what it frees at most, as oleic acid."""
    if stage != "finishing" or line.item.acid not in ACID_KINDS:
        return []
    kind = ACID_KINDS[line.item.acid]
    with localcontext(EXACT):
        freed = line.amount / kind.as_sold * kind.hydrogens * OLEIC
    return [
        f"{line.item.name} takes up free alkali first. What is left of its "
        f"{plain(line.amount * 100)} % turns soap back: up to "
        f"{plain((freed * 100).quantize(Decimal('0.01')))} % of fatty acid (as oleic "
        "acid) comes free, and the soap clouds. Titrate, and dose by what you found."
    ]
