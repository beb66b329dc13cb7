"""A paste worked out from its formula: what to weigh, and how sure the figures are."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext

from production.domain.chemistry.constants import ALKALIS, EXACT, ONE, ZERO
from production.domain.chemistry.doubts import purity_band
from production.domain.chemistry.profile import (
    AcidShare,
    OilProfile,
    Profile,
    profile,
)
from production.domain.chemistry.ranges import (
    AlkaliRange,
    OilRange,
    SuperfatRange,
    superfat_range,
)
from production.domain.chemistry.recipe import Acid, Oil, Recipe
from production.domain.chemistry.saponification import Saponification, saponify
from production.domain.numbers import grams, plain, share_out
from production.domain.refusal import Refused

# Of a share by weight, as a recipe keeps it.
PLACES = 8
IN_THE_LYE, LATE = "lye", "late"
FLOOR = "minimum"
# Flakes hold 82 % hydroxide at the least (85 % total alkali with 3.5 % carbonate, the
# pharmacopoeia's limits); a saturated lye 53 % (112 g in 100 g of water at 20 degC).
WEAKEST_FLAKES = Decimal("0.6")


@dataclass(frozen=True, slots=True)
class Fat:
    """What is known of an oil: values in mg KOH per g, published or of its own lot.

    Where a certificate gives the lot's own value, low and high are that value.
    """

    sv: Decimal
    sv_low: Decimal
    sv_high: Decimal
    kind: str = "fat"
    acid_value: Decimal | None = None
    iodine_low: Decimal | None = None
    iodine_high: Decimal | None = None
    acids: tuple[AcidShare, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a paste's formula; ``share`` is of the oils, a fraction.

    A fat, an acid with its purity, or something that takes no part.
    """

    name: str
    share: Decimal
    goes_in: str = ""
    fat: Fat | None = None
    acid: str = ""
    purity: Decimal | None = None


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


@dataclass(frozen=True, slots=True)
class Terms:
    """How the lye is set; fractions. ``loss`` is what boils off, of what goes in."""

    superfat: Decimal
    koh_share: Decimal = ONE
    lye_excess: bool = False
    water_per_alkali: Decimal | None = None
    lye_strength: Decimal | None = None
    loss: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Weighed:
    """One thing to weigh, grams unrounded; ``share`` is of the oils."""

    name: str
    share: Decimal
    grams: Decimal
    goes_in: str = ""
    is_fat: bool = True


@dataclass(frozen=True, slots=True)
class Cooked:
    """The answer; ``paste`` is after the expected loss, None without a lye water.

    ``koh_by_weight`` is what the potassium share would be as a share by weight of the
    pure alkali: another quantity, so that nobody takes one for the other.
    """

    lines: tuple[Weighed, ...]
    result: Saponification
    superfat: SuperfatRange
    profile: Profile
    koh_by_weight: Decimal
    boils_off: Decimal | None
    paste: Decimal | None
    soap_content: Decimal | None
    lye_strength: Decimal | None
    remarks: tuple[str, ...]


def cook(
    lines: Sequence[Line],
    terms: Terms,
    lyes: Mapping[str, Lye],
    oils: Decimal,
    step: Decimal = ZERO,
) -> Cooked:
    """Work a formula out for so many grams of oils.

    ``lyes`` by KOH and NaOH; ``step`` is the smallest step of the balance in grams.
    Raises Refused, saying what to change, where the formula cannot be cooked.
    """
    judge_intent(terms.superfat, terms.lye_excess)
    with localcontext(EXACT):
        weighed = tuple(
            Weighed(
                line.name,
                line.share,
                line.share * oils,
                line.goes_in,
                line.fat is not None,
            )
            for line in lines
        )
        recipe = _recipe(lines, terms, lyes, oils)
        result = saponify(recipe)
        boils_off, paste, content = _after_the_boil(result, terms)
        return Cooked(
            lines=weighed,
            result=result,
            superfat=_range(lines, recipe, result, lyes, terms, oils, step),
            profile=profile(_profiles(lines)),
            koh_by_weight=_by_weight(terms.koh_share),
            boils_off=boils_off,
            paste=paste,
            soap_content=content,
            lye_strength=_strength(recipe, result),
            remarks=result.remarks + _late_acids(lines) + _lye_stocks(terms, lyes),
        )


def judge_intent(superfat: Decimal, lye_excess: bool) -> None:
    """Refuse free alkali that nobody meant, and an excess that is none."""
    if superfat < 0 and not lye_excess:
        raise Refused(
            f"A superfat of {plain(superfat * 100)} % leaves free alkali in the "
            "paste. If that is the route you mean, declare the lye excess; if not, "
            "write it without the minus."
        )
    if superfat >= 0 and lye_excess:
        raise Refused(
            "A lye excess is declared, and the superfat is not below zero: write how "
            "much, such as -3 %, or take the declaration back."
        )


def _recipe(
    lines: Sequence[Line], terms: Terms, lyes: Mapping[str, Lye], oils: Decimal
) -> Recipe:
    acids = [line for line in lines if line.acid and line.goes_in == IN_THE_LYE]
    plain_lines = [line for line in lines if line.fat is None and line not in acids]
    koh, naoh = lyes.get("KOH"), lyes.get("NaOH")
    return Recipe(
        oils=[_oil(line, oils) for line in lines if line.fat is not None],
        superfat=terms.superfat,
        koh_share=terms.koh_share,
        koh_purity=koh.purity if koh else None,
        koh_carbonate=koh.carbonate if koh else ZERO,
        naoh_purity=naoh.purity if naoh else None,
        naoh_carbonate=naoh.carbonate if naoh else ZERO,
        acids=[Acid(line.acid, line.share * oils, _purity(line)) for line in acids],
        water_per_alkali=terms.water_per_alkali,
        lye_strength=terms.lye_strength,
        in_the_lye=_sum(plain_lines, oils, IN_THE_LYE),
        added=_sum(plain_lines, oils, "") + _sum(plain_lines, oils, LATE),
    )


def _oil(line: Line, oils: Decimal) -> Oil:
    assert line.fat is not None
    fat = line.fat
    return Oil(line.name, line.share * oils, fat.sv, fat.acid_value, kind=fat.kind)


def _purity(line: Line) -> Decimal:
    if line.purity is None:
        raise Refused(
            f"The purity of {line.name} is not in the book. Note it from its pack, "
            "on one of its lots: none is assumed."
        )
    return line.purity


def _sum(lines: Sequence[Line], oils: Decimal, goes_in: str) -> Decimal:
    return sum((ln.share * oils for ln in lines if ln.goes_in == goes_in), ZERO)


def _after_the_boil(
    result: Saponification, terms: Terms
) -> tuple[Decimal | None, Decimal | None, Decimal | None]:
    """Steam, paste and soap content once the expected share has boiled off."""
    if result.paste is None or result.water_in_paste is None:
        return None, None, None
    steam = result.paste * (terms.loss or ZERO)
    if steam > result.water_in_paste:
        raise Refused(
            f"Lower the expected loss: {grams(steam)} g would boil off, and only "
            f"{grams(result.water_in_paste)} g of water are in the kettle."
        )
    paste = result.paste - steam
    return steam, paste, (result.soap_potassium + result.soap_sodium) / paste


def _strength(recipe: Recipe, result: Saponification) -> Decimal | None:
    """Pure alkali over the whole lye, other liquids in it included."""
    if result.lye_water is None:
        return None
    pure = result.koh_pure + result.naoh_pure
    weighed = result.koh_weighed + result.naoh_weighed
    return pure / (weighed + result.lye_water + recipe.in_the_lye)


def _by_weight(koh_share: Decimal) -> Decimal:
    koh = koh_share * ALKALIS["KOH"]
    return koh / (koh + (ONE - koh_share) * ALKALIS["NaOH"])


def _range(
    lines: Sequence[Line],
    recipe: Recipe,
    result: Saponification,
    lyes: Mapping[str, Lye],
    terms: Terms,
    oils: Decimal,
    step: Decimal,
) -> SuperfatRange:
    weighed = {"KOH": result.koh_weighed, "NaOH": result.naoh_weighed}
    return superfat_range(
        [
            OilRange(ln.name, ln.share * oils, fat.sv, fat.sv_low, fat.sv_high)
            for ln in lines
            if (fat := ln.fat) is not None
        ],
        [
            alkali_range(alkali, weighed[alkali], lye)
            for alkali, lye in lyes.items()
            if weighed[alkali]
        ],
        acid_moles=sum((acid.moles for acid in recipe.acids), ZERO),
        resolution=step,
        intended_excess=terms.lye_excess,
    )


def alkali_range(alkali: str, weighed: Decimal, lye: Lye) -> AlkaliRange:
    """Grams out of a tub with what is known of its purity."""
    low, high = purity_band(lye.purity, lye.carbonate, floor=lye.is_floor)
    return AlkaliRange(alkali, weighed, lye.purity, low, high, lye.is_floor)


def _profiles(lines: Sequence[Line]) -> list[OilProfile]:
    return [
        OilProfile(
            line.name, line.share, fat.acids, fat.iodine_low, fat.iodine_high, fat.kind
        )
        for line in lines
        if (fat := line.fat) is not None
    ]


def _late_acids(lines: Sequence[Line]) -> tuple[str, ...]:
    return tuple(
        f"{line.name} after the cook gets no alkali of its own: past the free alkali "
        "each part of it turns soap back into fatty acid, and the soap clouds."
        for line in lines
        if line.acid and line.goes_in != IN_THE_LYE
    )


def _lye_stocks(terms: Terms, lyes: Mapping[str, Lye]) -> tuple[str, ...]:
    """A lye that stands ready holds its own water, which a ratio would give again."""
    if terms.water_per_alkali is None:
        return ()
    return tuple(
        f"{lye.source or alkali} holds {plain(lye.purity * 100)} % {alkali}: that is a "
        "lye and not flakes, and its own water is not counted in the water to 1 g of "
        "alkali. Set the strength of the lye instead."
        for alkali, lye in lyes.items()
        if lye.purity < WEAKEST_FLAKES and not lye.is_floor
    )


@dataclass(frozen=True, slots=True)
class Typed:
    """A line as somebody writes it: its share of the oils, its grams, or neither."""

    name: str
    is_fat: bool
    share: Decimal | None = None
    grams: Decimal | None = None


def shared_out(
    lines: Sequence[Typed], oils: Decimal
) -> tuple[list[Decimal], Decimal | None]:
    """Each line's share of the oils, and the grams of all oils where they are weighed.

    The oils add up to 1, by percent or by weight; what else goes in by weight is
    reckoned to ``oils`` grams where they stand in percent. Refused where it is neither.
    """
    names = [line.name for line in lines]
    for name in names:
        if names.count(name) > 1:
            raise Refused(f"{name} stands twice: write it in one line.")
    fats = [line for line in lines if line.is_fat]
    if not fats:
        raise Refused("Add at least one oil: without one there is no soap.")
    weights = [line.grams for line in fats if line.grams]
    if weights and len(weights) < len(fats):
        raise Refused(
            "Write every oil in percent, or every oil by weight: the other follows."
        )
    by_percent = [line.share for line in fats]
    shares = iter(shares_of_weights(weights) if weights else the_rest(by_percent))
    total = sum(weights, ZERO) or None
    found = [
        next(shares) if line.is_fat else _beside(line, total or oils) for line in lines
    ]
    return found, total


def _beside(line: Typed, oils: Decimal) -> Decimal:
    if line.share is not None:
        return line.share
    if line.grams is None:
        raise Refused(f"{line.name}: write its share of the oils, or its weight.")
    return (line.grams / oils).quantize(ONE.scaleb(-PLACES))


def shares_of_weights(weights: Sequence[Decimal]) -> list[Decimal]:
    """Weights as shares that add up to exactly 1, by largest remainder."""
    return share_out(ONE, weights, ONE.scaleb(-PLACES))


def the_rest(shares: Sequence[Decimal | None]) -> list[Decimal]:
    """Fill the one share left open with what is missing to the whole.

    Raises Refused where the shares do not add up to 100 %.
    """
    known = sum((share for share in shares if share is not None), ZERO)
    left_open = sum(share is None for share in shares)
    if left_open > 1:
        raise Refused("Leave the share of one oil open at most: it takes the rest.")
    if left_open and known >= 1:
        raise Refused(
            f"The oils add up to {plain(known * 100)} % already: nothing is left for "
            "the one without a share."
        )
    if not left_open and known != 1:
        over = known - ONE
        word = "more" if over > 0 else "less"
        raise Refused(
            f"The oils add up to {plain(known * 100)} %, {plain(abs(over) * 100)} % "
            f"{word} than the whole. Leave one of them empty and it takes the rest."
        )
    return [ONE - known if share is None else share for share in shares]
