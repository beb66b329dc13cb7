"""What goes into the kettle: oils, acids, alkali, water; nonsense is refused."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext

from production.chemistry.domain.constants import (
    ACID_KINDS,
    EXACT,
    GLYCEROL,
    KOH,
    WATER,
    AcidKind,
)
from production.chemistry.domain.validation import (
    above_zero,
    fraction_hint,
    not_negative,
    share,
    share_above_zero,
    stated,
)
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused

OIL_KINDS = ("fat", "acid", "wax")

# Tributyrin, the lightest fat there is, has 557 and butyric acid 637 mg KOH/g
# (computed); the waxes of the trade stand near 80 (common practice, no source).
LOWEST_SV = Decimal(10)
HIGHEST_SV = Decimal(650)


@dataclass(frozen=True, slots=True)
class PerGram:
    """What one gram of an oil becomes when saponified; ``moles`` of alkali it takes.

    ``acyl`` is the soap without its alkali: moles x alkali + acyl = grams of soap.
    """

    moles: Decimal
    acyl: Decimal
    glycerol: Decimal
    water: Decimal
    unsaponified: Decimal


@dataclass(frozen=True, slots=True)
class OilFacts:
    """The saponification value is measured on the whole oil, free acids included.

    mg KOH per g; ``unsaponifiable`` is a mass fraction. ``kind`` fat forms glycerol,
    acid (free fatty acid) and wax (wax ester) form none. An acid value left out is 0
    for a fat or wax; a free fatty acid is all acid, so there it equals the SV.
    """

    sv: Decimal
    acid_value: Decimal | None = None
    unsaponifiable: Decimal = ZERO
    kind: str = "fat"

    @property
    def free_acid(self) -> Decimal:
        """The acid value stated, or what the kind implies."""
        if self.acid_value is None:
            return self.sv if self.kind == "acid" else ZERO
        return self.acid_value

    def per_gram(self) -> PerGram:
        """Only the esters of a fat give glycerol, only free acids form water."""
        with localcontext(EXACT):
            moles = self.sv / (1000 * KOH)
            acid = self.free_acid / (1000 * KOH)
            glycerol = (moles - acid) / 3 * GLYCEROL if self.kind == "fat" else ZERO
            water = acid * WATER
            acyl = ONE - self.unsaponifiable - glycerol - water
            return PerGram(moles, acyl, glycerol, water, self.unsaponifiable)

    def check(self, name: str) -> None:
        """Raise Refused, naming the oil, where no oil can have these facts."""
        if self.kind not in OIL_KINDS:
            raise Refused(f"{name} is a fat, an acid or a wax, not {self.kind!r}.")
        _check_sv(self.sv, name)
        acid_value = not_negative(self.free_acid, f"the acid value of {name}")
        if acid_value > self.sv:
            raise Refused(
                f"The acid value of {name} ({plain(acid_value)}) is above its "
                f"saponification value ({plain(self.sv)}), which includes it: "
                "correct one of them."
            )
        share(self.unsaponifiable, f"the unsaponifiable matter of {name}")
        if self.per_gram().acyl <= 0:
            raise Refused(
                f"With {plain(self.unsaponifiable)} unsaponifiable matter and a "
                f"saponification value of {plain(self.sv)} nothing of {name} is left "
                "to become soap: correct one of them."
            )


def _check_sv(sv: Decimal | None, name: str) -> None:
    what = f"the saponification value of {name}"
    value = above_zero(sv, what)
    if value < 1:
        raise Refused(
            f"State {what} in mg KOH per g: it is {plain(value)}, did you mean "
            f"{plain(value * 1000)}?"
        )
    if not LOWEST_SV <= value <= HIGHEST_SV:
        raise Refused(
            f"Check {what}: {plain(value)} mg KOH per g is outside "
            f"{LOWEST_SV} to {HIGHEST_SV}, where every fat, acid and wax lies."
        )


@dataclass(frozen=True, slots=True)
class Oil:
    """An oil as weighed in, grams; facts as in ``OilFacts``."""

    name: str
    grams: Decimal
    sv: Decimal
    acid_value: Decimal | None = None
    unsaponifiable: Decimal = ZERO
    kind: str = "fat"

    def __post_init__(self) -> None:
        above_zero(self.grams, f"the grams of {self.name}")
        self.facts.check(self.name)

    @property
    def facts(self) -> OilFacts:
        """What does not depend on how much of it there is."""
        return OilFacts(self.sv, self.acid_value, self.unsaponifiable, self.kind)


@dataclass(frozen=True, slots=True)
class Acid:
    """An acid as weighed in, grams; its purity is stated, never assumed."""

    kind: str
    grams: Decimal
    purity: Decimal

    def __post_init__(self) -> None:
        if self.kind not in ACID_KINDS:
            raise Refused(
                f"{self.kind!r} is not an acid known here: "
                f"use one of {', '.join(ACID_KINDS)}."
            )
        above_zero(self.grams, f"the grams of {self.kind} acid")
        share_above_zero(self.purity, f"the purity of the {self.kind} acid")

    @property
    def facts(self) -> AcidKind:
        """Molar masses and acidic hydrogens."""
        return ACID_KINDS[self.kind]

    @property
    def moles(self) -> Decimal:
        """Moles of alkali that it takes up."""
        with localcontext(EXACT):
            return self.grams * self.purity / self.facts.as_sold * self.facts.hydrogens

    @property
    def dry(self) -> Decimal:
        """Grams without crystal water and the water that dilutes it."""
        with localcontext(EXACT):
            return self.grams * self.purity * self.facts.dry / self.facts.as_sold


def alkalis_used(koh_share: Decimal) -> tuple[str, ...]:
    """KOH, NaOH or both: what a potassium share of the soap asks for."""
    parts = {"KOH": koh_share, "NaOH": ONE - koh_share}
    return tuple(alkali for alkali, part in parts.items() if part > 0)


def check_alkali(alkali: str, purity: Decimal | None, carbonate: Decimal) -> Decimal:
    """The purity, once it and the carbonate share can be those of an alkali.

    No purity is ever assumed: commercial KOH holds anything from 82 to 100 %.
    """
    if purity is None:
        raise Refused(
            f"State the purity of the {alkali}, as its tub or certificate gives it: "
            "none is assumed."
        )
    share_above_zero(purity, f"the purity of the {alkali}")
    share(carbonate, f"the carbonate in the {alkali}")
    if purity + carbonate > 1:
        raise Refused(
            f"Purity {plain(purity)} and carbonate {plain(carbonate)} of the {alkali} "
            "are more than the whole: correct one of them."
        )
    return purity


@dataclass(frozen=True, slots=True)
class Pot:
    """Grams and plain fractions; ``koh_share`` is by mole of all hydroxide.

    Acids get alkali of their own, which superfat does not touch. Superfat below 0 is
    alkali in excess. Of the three water figures one or none is given:
    ``lye_strength`` is pure alkali over whole lye, ``water_per_alkali`` water over
    alkali as weighed. ``evaporated`` is water weighed away. ``in_the_lye`` is another
    liquid (glycerin, an infusion) that takes the place of as much lye water;
    ``added`` is what joins the paste and takes no part.
    """

    oils: Sequence[Oil]
    superfat: Decimal
    koh_share: Decimal = ONE
    koh_purity: Decimal | None = None
    koh_carbonate: Decimal = ZERO
    naoh_purity: Decimal | None = None
    naoh_carbonate: Decimal = ZERO
    acids: Sequence[Acid] = ()
    water: Decimal | None = None
    lye_strength: Decimal | None = None
    water_per_alkali: Decimal | None = None
    evaporated: Decimal = ZERO
    in_the_lye: Decimal = ZERO
    added: Decimal = ZERO

    def __post_init__(self) -> None:
        if not self.oils:
            raise Refused("Add at least one oil: without one there is no soap.")
        _check_superfat(self.superfat)
        share(self.koh_share, "the KOH share (by mole)")
        if self.koh_share > 0:
            check_alkali("KOH", self.koh_purity, self.koh_carbonate)
        if self.koh_share < 1:
            check_alkali("NaOH", self.naoh_purity, self.naoh_carbonate)
        self._check_water()

    def _check_water(self) -> None:
        given = {
            "water": self.water,
            "lye_strength": self.lye_strength,
            "water_per_alkali": self.water_per_alkali,
        }
        named = [key for key, value in given.items() if value is not None]
        if len(named) > 1:
            raise Refused(f"Keep one of {', '.join(named)}: each sets the lye water.")
        if self.water is not None:
            not_negative(self.water, "the lye water")
        if self.lye_strength is not None:
            share_above_zero(self.lye_strength, "the lye strength")
        if self.water_per_alkali is not None:
            not_negative(self.water_per_alkali, "the water per gram of alkali")
        not_negative(self.evaporated, "the water evaporated")
        not_negative(self.in_the_lye, "the other liquid in the lye")
        not_negative(self.added, "what is added to the paste")


def _check_superfat(superfat: Decimal | None) -> None:
    value = stated(superfat, "the superfat")
    if abs(value) >= 1:
        raise Refused(
            f"State the superfat as a fraction, for example 0.05 for 5 %: "
            f"it is {plain(value)}{fraction_hint(value)}."
        )
