"""The stages after the kettle: what is mixed, and what to heed about it."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext

from production.domain.chemistry.constants import (
    ACID_KINDS,
    EXACT,
    ONE,
    ZERO,
    molar_mass,
)
from production.domain.numbers import plain
from production.domain.refusal import Refused
from production.domain.units import A_KILO

# Usual figure of a potassium soap solution: recalled, no source; a green soap tincture
# is published at 9.5 to 11.5, liquid bath soap of the soap type at 8 to 11
# (SNI 06-4085-1996).
SOAP_PH = (Decimal(9), Decimal("10.5"))
OLEIC = molar_mass("C18H34O2")


@dataclass(frozen=True, slots=True)
class Part:
    """One line: a share of what is made (fraction), or so much for each piece.

    ``most`` is the largest share its supplier or the law allows; ``ph_low`` and
    ``ph_high`` say where it works.
    """

    name: str
    share: Decimal | None = None
    each: Decimal | None = None
    unit: str = "g"
    category: str = ""
    acid: str = ""
    most: Decimal | None = None
    ph_low: Decimal | None = None
    ph_high: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Mixed:
    """Grams or pieces of each part for ``total`` of what is made, water last."""

    total: Decimal
    unit: str
    amounts: tuple[tuple[str, Decimal | None, Decimal, str], ...]
    together: Decimal | None
    remarks: tuple[str, ...]


def mix(parts: Sequence[Part], stage: str, *, counted: bool) -> Mixed:
    """Work shares out for a kilo, or for 100 pieces; what they leave open is water.

    Refused where the shares are more than the whole.
    """
    total, unit = (Decimal(100), "piece") if counted else (A_KILO, "g")
    with localcontext(EXACT):
        shares = sum((part.share for part in parts if part.share is not None), ZERO)
        if shares > 1:
            raise Refused(
                f"The shares add up to {plain(shares * 100)} %, more than the whole: "
                "take something out."
            )
        amounts = [
            (part.name, part.share, _amount(part, total), part.unit) for part in parts
        ]
        of_shares = all(part.each is None for part in parts)
        if of_shares and shares < 1 and unit == "g":
            rest = ONE - shares
            amounts.append(("Water", rest, rest * total, "g"))
        return Mixed(
            total=total,
            unit=unit,
            amounts=tuple(amounts),
            together=shares if of_shares else None,
            remarks=remarks(parts, stage),
        )


def _amount(part: Part, total: Decimal) -> Decimal:
    each = part.share if part.each is None else part.each
    return total * (each or ZERO)


def remarks(parts: Sequence[Part], stage: str) -> tuple[str, ...]:
    """What should be seen before it is mixed; sentences for the person at the pot."""
    said = []
    for part in parts:
        said += [*_too_much(part), *_where_it_works(part), *_late_acid(part, stage)]
    return tuple(said)


def _too_much(part: Part) -> list[str]:
    if part.most is None or part.share is None or part.share <= part.most:
        return []
    return [
        f"{part.name} at {plain(part.share * 100)} % is above the "
        f"{plain(part.most * 100)} % on its card: take less, or ask its supplier."
    ]


def _where_it_works(part: Part) -> list[str]:
    low, high = SOAP_PH
    if part.ph_high is not None and part.ph_high < low:
        return [
            f"{part.name} works up to pH {plain(part.ph_high)}; a potassium soap "
            f"stands at about {plain(low)} to {plain(high)}: it does not protect it."
        ]
    if part.ph_low is not None and part.ph_low > high:
        return [
            f"{part.name} works from pH {plain(part.ph_low)}; a potassium soap stands "
            f"at about {plain(low)} to {plain(high)}."
        ]
    return []


def _late_acid(part: Part, stage: str) -> list[str]:
    """An acid in finished soap: what it frees at most, as oleic acid."""
    if stage != "finishing" or part.acid not in ACID_KINDS or part.share is None:
        return []
    kind = ACID_KINDS[part.acid]
    with localcontext(EXACT):
        freed = part.share / kind.as_sold * kind.hydrogens * OLEIC
    return [
        f"{part.name} takes up free alkali first. What is left of its "
        f"{plain(part.share * 100)} % turns soap back: up to "
        f"{plain((freed * 100).quantize(Decimal('0.01')))} % of fatty acid (as oleic "
        "acid) comes free, and the soap clouds. Titrate, and dose by what you found."
    ]
