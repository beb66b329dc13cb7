"""The values of one pot: oils, alkali, terms; and the chemistry that they come to."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from production.chemistry.domain.bands import AlkaliRange
from production.chemistry.domain.doubts import purity_band
from production.chemistry.domain.pot import Acid, Oil, Pot, alkalis_used
from production.chemistry.domain.profile import AcidShare
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.goods import Material

IN_THE_LYE, LATE = "lye", "late"
GoesIn = Literal["", "lye", "late"]
FLOOR = "minimum"


@dataclass(frozen=True, slots=True)
class Fat:
    """What is known of an oil: values in mg KOH per g, published or of its own lot.

    Where a certificate gives the lot's own value, low and high are that value.
    ``unsaponifiable`` is a mass fraction, and nothing where no certificate says it.
    """

    sv: Decimal
    sv_low: Decimal
    sv_high: Decimal
    kind: str = "fat"
    acid_value: Decimal | None = None
    unsaponifiable: Decimal = ZERO
    iodine_low: Decimal | None = None
    iodine_high: Decimal | None = None
    acids: tuple[AcidShare, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a paste's recipe; ``share`` is of the oils, a fraction.

    A fat, an acid with its purity, or something that takes no part. ``item`` is the
    material itself; two lines can be two lots of one.
    """

    name: str
    share: Decimal
    goes_in: GoesIn = ""
    fat: Fat | None = None
    acid: str = ""
    purity: Decimal | None = None
    item: Material | None = None

    @property
    def is_oil(self) -> bool:
        """Whether its card calls it an oil, whatever is known of it."""
        return self.item is not None and self.item.category == "oil"

    @property
    def is_water(self) -> bool:
        """Whether it is water."""
        return self.item is not None and self.item.category == "water"


@dataclass(frozen=True, slots=True)
class Lye:
    """An alkali to weigh from; ``basis`` minimum says that the purity is a floor."""

    purity: Decimal
    carbonate: Decimal = ZERO
    basis: str = "stated"
    source: str = ""

    @property
    def is_floor(self) -> bool:
        """Whether only "min. so much" is known."""
        return self.basis == FLOOR

    def says(self, alkali: str) -> str:
        """How pure it is, as a sentence."""
        known = f"{plain(self.purity * 100)} % pure"
        known = f"at least {known}" if self.is_floor else f"{known}, {self.basis}"
        tub = f" in {self.source}" if self.source else ""
        return f"Worked out with {alkali}{tub}: {known}."


@dataclass(frozen=True, slots=True)
class Terms:
    """How the lye is set; fractions. ``loss`` is what boils off, of what goes in."""

    superfat: Decimal | None
    koh_share: Decimal = ONE
    lye_excess: bool = False
    water_per_alkali: Decimal | None = None
    lye_strength: Decimal | None = None
    loss: Decimal | None = None

    @property
    def names_water(self) -> bool:
        """Whether they set the lye water; none to 1 g of alkali sets nothing."""
        return bool(self.water_per_alkali) or self.lye_strength is not None


def is_lye_water(line: Line, terms: Terms) -> bool:
    """Water as a line of the recipe is the lye water where no term sets that."""
    return line.is_water and not terms.names_water


def pot_of(
    lines: Sequence[Line],
    amounts: Sequence[Decimal],
    terms: Terms,
    lyes: Mapping[str, Lye],
) -> Pot:
    """So many grams of each line as the chemistry of one pot.

    Refused where an oil has no saponification value, where the purity of an alkali or
    an acid is not given, and where nobody said the superfat.
    """
    if terms.superfat is None:
        raise Refused("Write the superfat: none is assumed.")
    koh, naoh = (_used(alkali, terms, lyes) for alkali in ("KOH", "NaOH"))
    mass: dict[str, Decimal] = {IN_THE_LYE: ZERO, "": ZERO, "water": ZERO}
    oils: list[Oil] = []
    acids: list[Acid] = []
    for line, amount in zip(lines, amounts, strict=True):
        if line.fat is not None:
            oils.append(_oil(line, amount))
        elif line.is_oil:
            raise Refused(
                f"{line.name} has no saponification value: choose its published oil on "
                "its card. None is assumed."
            )
        elif is_lye_water(line, terms):
            mass["water"] += amount
        elif line.acid and line.goes_in == IN_THE_LYE:
            acids.append(Acid(line.acid, amount, _purity(line)))
        else:
            mass[IN_THE_LYE if line.goes_in == IN_THE_LYE else ""] += amount
    # A lye of glycerin alone needs no water; one of nothing is not known.
    liquid = mass["water"] + mass[IN_THE_LYE]
    water = liquid if liquid and not terms.names_water else None
    return Pot(
        oils=oils,
        superfat=terms.superfat,
        koh_share=terms.koh_share,
        koh_purity=koh.purity if koh else None,
        koh_carbonate=koh.carbonate if koh else ZERO,
        naoh_purity=naoh.purity if naoh else None,
        naoh_carbonate=naoh.carbonate if naoh else ZERO,
        acids=acids,
        water=water,
        water_per_alkali=terms.water_per_alkali or None,
        lye_strength=terms.lye_strength,
        in_the_lye=mass[IN_THE_LYE],
        added=mass[""],
    )


def _used(alkali: str, terms: Terms, lyes: Mapping[str, Lye]) -> Lye | None:
    return lyes.get(alkali) if alkali in alkalis_used(terms.koh_share) else None


def _oil(line: Line, amount: Decimal) -> Oil:
    assert line.fat is not None
    fat = line.fat
    return Oil(
        line.name, amount, fat.sv, fat.acid_value, fat.unsaponifiable, kind=fat.kind
    )


def _purity(line: Line) -> Decimal:
    if line.purity is None:
        raise Refused(
            f"The purity of {line.name} is not in the book. Note it from its pack, "
            "on one of its lots: none is assumed."
        )
    return line.purity


def alkali_range(alkali: str, weighed: Decimal, lye: Lye) -> AlkaliRange:
    """Grams out of a tub with what is known of its purity."""
    low, high = purity_band(lye.purity, lye.carbonate, floor=lye.is_floor)
    return AlkaliRange(alkali, weighed, lye.purity, low, high, lye.is_floor)
