"""A paste worked out from its recipe: what to weigh, and how sure the figures are."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR, Decimal, localcontext

from production.chemistry.domain.bands import OilRange, SuperfatRange
from production.chemistry.domain.constants import ACID_KINDS, ALKALIS, EXACT
from production.chemistry.domain.pot import Acid, Pot
from production.chemistry.domain.profile import OilProfile, Profile, profile
from production.chemistry.domain.ranges import superfat_range
from production.chemistry.domain.saponification import Saponification, saponify
from production.quantities.domain.numbers import ONE, ZERO, grams, plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import (
    IN_THE_LYE,
    Line,
    Lye,
    Terms,
    alkali_range,
    is_lye_water,
    pot_of,
)
from production.recipes.domain.scaling.goods import Material, on_balance

# Flakes hold 82 % hydroxide at the least (85 % total alkali with 3.5 % carbonate, the
# pharmacopoeia's limits); a saturated lye 53 % (112 g in 100 g of water at 20 degC).
WEAKEST_FLAKES = Decimal("0.6")


@dataclass(frozen=True, slots=True)
class Weighed:
    """One thing to weigh, in steps of the balance; ``share`` is of the oils."""

    name: str
    share: Decimal
    grams: Decimal
    goes_in: str = ""
    is_fat: bool = True
    item: Material | None = None


@dataclass(frozen=True, slots=True)
class Cooked:
    """The answer; ``paste`` is after the expected loss, None without a lye water.

    ``result`` and ``superfat`` are those of the grams as they are weighed, before an
    acid that goes in after the cook: that is when the paste burns or does not.
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

    def how_sure(self, lyes: Mapping[str, Lye]) -> tuple[str, ...]:
        """The tubs, the lye and the superfat as sentences, for paper."""
        said = [lye.says(alkali) for alkali, lye in lyes.items()]
        if self.lye_strength is not None:
            said.append(f"The lye holds {_percent(self.lye_strength)} pure alkali.")
        likely, ends = self.superfat.likely, self.superfat.ends
        said.append(
            f"The superfat is likely {_percent(likely.low)} to {_percent(likely.high)},"
            f" at the very ends {_percent(ends.low)} to {_percent(ends.high)}; the "
            "test decides."
        )
        return tuple(said)


def _percent(share: Decimal) -> str:
    return f"{plain(round(share * 100, 1))} %"


def cook(
    lines: Sequence[Line],
    terms: Terms,
    lyes: Mapping[str, Lye],
    oils: Decimal,
    step: Decimal = ZERO,
) -> Cooked:
    """Work a recipe out for so many grams of oils, as they can be weighed.

    ``lyes`` by KOH and NaOH; ``step`` is the smallest step of the balance in grams.
    Each amount is rounded once: half up, and the alkali down, so that no rounding
    takes superfat away. Raises Refused, saying what to change, where the recipe cannot
    be cooked.
    """
    judge_intent(terms.superfat, terms.lye_excess)
    with localcontext(EXACT):
        weighed = [_weighable(line, line.share * oils, step) for line in lines]
        pot = _as_weighed(pot_of(lines, weighed, terms, lyes), step)
        result = saponify(pot)
        # Worked out of moles again: a last digit of the sum is no part of a step.
        result = replace(
            result,
            koh_weighed=grams(result.koh_weighed),
            naoh_weighed=grams(result.naoh_weighed),
        )
        paste = after_the_boil(pot, result, lines, terms.loss)
        return Cooked(
            lines=tuple(
                Weighed(
                    line.name,
                    line.share,
                    amount,
                    line.goes_in,
                    line.fat is not None,
                    line.item,
                )
                for line, amount in zip(lines, weighed, strict=True)
                if not is_lye_water(line, terms)
            ),
            result=result,
            superfat=_range(lines, pot, result, lyes, terms, step),
            profile=profile(_profiles(lines)),
            koh_by_weight=_by_weight(terms.koh_share),
            boils_off=paste.boils_off,
            paste=paste.grams,
            soap_content=paste.soap_content,
            lye_strength=_strength(pot, result),
            remarks=(
                *result.remarks,
                *paste.remarks,
                *_late_acids(lines),
                *_lye_stocks(terms, lyes),
            ),
        )


def judge_intent(superfat: Decimal | None, lye_excess: bool) -> None:
    """Refuse free alkali that nobody meant, and an excess that is none."""
    if superfat is None:
        return
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


def _as_weighed(pot: Pot, step: Decimal) -> Pot:
    """The same pot with alkali and lye water as the balance shows them."""
    asked = saponify(pot)
    koh = _down(asked.koh_weighed, step, "KOH")
    naoh = _down(asked.naoh_weighed, step, "NaOH")
    pure = {
        "KOH": koh * (pot.koh_purity or ONE),
        "NaOH": naoh * (pot.naoh_purity or ONE),
    }
    moles = {alkali: pure[alkali] / ALKALIS[alkali] for alkali in pure}
    alkali = sum(moles.values(), ZERO)
    demand = _demand(pot)
    taken_up = sum((acid.moles for acid in pot.acids), ZERO)
    weighed = replace(
        pot,
        superfat=ONE - (alkali - taken_up) / demand,
        koh_share=moles["KOH"] / alkali if alkali else pot.koh_share,
    )
    water = saponify(weighed).lye_water
    if water is None:
        return weighed
    return replace(
        weighed,
        water=on_balance(water, step) + pot.in_the_lye,
        water_per_alkali=None,
        lye_strength=None,
    )


def _weighable(line: Line, amount: Decimal, step: Decimal) -> Decimal:
    found = on_balance(amount, step)
    if line.share > 0 and not found:
        raise Refused(
            f"{line.name}: less than one step of the balance is asked for. Work it out "
            "for more."
        )
    return found


def _down(amount: Decimal, step: Decimal, alkali: str) -> Decimal:
    found = on_balance(amount, step, ROUND_FLOOR)
    if amount > 0 and not found:
        raise Refused(
            f"{grams(amount)} g of {alkali} are less than one step of the balance "
            f"({plain(step)} g): work it out for more."
        )
    return found


@dataclass(frozen=True, slots=True)
class Paste:
    """What is left of a pot; grams, and the share that is soap. None is not known."""

    boils_off: Decimal | None = None
    grams: Decimal | None = None
    soap_content: Decimal | None = None
    remarks: tuple[str, ...] = ()


def after_the_boil(
    pot: Pot,
    result: Saponification,
    lines: Sequence[Line],
    loss: Decimal | None,
) -> Paste:
    """The paste once the expected share is lost: steam first, as far as there is water.

    An acid after the cook takes free alkali and then soap, mole by mole.
    """
    if result.paste is None or result.water_in_paste is None:
        return Paste()
    lost = result.paste * (loss or ZERO)
    steam = min(lost, result.water_in_paste)
    soap = _soap_left(pot, result, lines)
    content = None if soap is None else soap / (result.paste - steam)
    said: tuple[str, ...] = ()
    if lost > steam:
        said = (
            f"{grams(lost)} g are lost, and only {grams(steam)} g of water are in the "
            "kettle: the rest counts as paste. Lower the expected loss, if that is "
            "not what you mean.",
        )
    return Paste(steam, result.paste - lost, content, said)


def _soap_left(
    pot: Pot, result: Saponification, lines: Sequence[Line]
) -> Decimal | None:
    """Grams of soap after what is added late; None where the purity of an acid among
    it is not known."""
    soap = result.soap_potassium + result.soap_sodium
    sour = _late_moles(pot, lines)
    if not sour or not soap:
        return None if sour is None else soap
    demand = _demand(pot)
    sour = max(sour - max(-pot.superfat, ZERO) * demand, ZERO)
    return soap * max(ONE - sour / (demand * (ONE - max(pot.superfat, ZERO))), ZERO)


def _late_moles(pot: Pot, lines: Sequence[Line]) -> Decimal | None:
    """Moles of alkali that acids after the cook take; None is an unknown purity."""
    oils, moles = sum((oil.grams for oil in pot.oils), ZERO), ZERO
    for line in lines:
        if line.acid not in ACID_KINDS or line.goes_in == IN_THE_LYE:
            continue
        if line.purity is None:
            return None
        moles += Acid(line.acid, line.share * oils, line.purity).moles
    return moles


def _demand(pot: Pot) -> Decimal:
    """Moles of alkali that the oils could take."""
    return sum((oil.grams * oil.facts.per_gram().moles for oil in pot.oils), ZERO)


def _strength(pot: Pot, result: Saponification) -> Decimal | None:
    """Pure alkali over the whole lye, other liquids in it included."""
    if result.lye_water is None:
        return None
    pure = result.koh_pure + result.naoh_pure
    weighed = result.koh_weighed + result.naoh_weighed
    return pure / (weighed + result.lye_water + pot.in_the_lye)


def _by_weight(koh_share: Decimal) -> Decimal:
    koh = koh_share * ALKALIS["KOH"]
    return koh / (koh + (ONE - koh_share) * ALKALIS["NaOH"])


def _range(
    lines: Sequence[Line],
    pot: Pot,
    result: Saponification,
    lyes: Mapping[str, Lye],
    terms: Terms,
    step: Decimal,
) -> SuperfatRange:
    weighed = {"KOH": result.koh_weighed, "NaOH": result.naoh_weighed}
    fats = [line.fat for line in lines if line.fat is not None]
    return superfat_range(
        [
            OilRange(oil.name, oil.grams, fat.sv, fat.sv_low, fat.sv_high)
            for oil, fat in zip(pot.oils, fats, strict=True)
        ],
        [
            alkali_range(alkali, weighed[alkali], lye)
            for alkali, lye in lyes.items()
            if weighed[alkali]
        ],
        acid_moles=sum((acid.moles for acid in pot.acids), ZERO),
        resolution=step,
        intended_excess=terms.lye_excess,
    )


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
        + (
            ""
            if line.purity
            else " Its purity is not in the book: note it, else "
            "nobody knows how much soap is left."
        )
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
