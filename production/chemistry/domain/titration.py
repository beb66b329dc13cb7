"""Free alkali: what a titration says in figures, and what an indicator cannot.

The quantity is free caustic alkali: hydroxide that is left beside the soap, found by
dissolving the soap in neutralised ethanol and titrating with acid to the colour change
of phenolphthalein (cf. ISO 456:1973). Total free alkali (ISO 684) counts carbonate as
well, and total alkali (ISO 685) the alkali bound in the soap: three quantities, never
compared with one another. Fractions of the sample by mass, grams, mL, mol/L.
"""

from dataclasses import dataclass
from decimal import Decimal, localcontext

from production.chemistry.domain.constants import (
    ACID_KINDS,
    ALKALIS,
    EXACT,
    KOH,
    WATER,
    molar_mass,
)
from production.chemistry.domain.validation import (
    above_zero,
    not_negative,
    share,
    share_above_zero,
)
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused

# Common practice, no source, but for the colour of soap in water: that follows from
# soap being the salt of a weak acid, alkaline of itself.
DROP_TEST = (
    "Have the safety data sheet of the alcohol at hand: it burns. No flame, no hot "
    "plate, fresh air, gloves and eye protection.",
    "Take samples from several spots of the pot: the top, the middle, the bottom and "
    "the wall. Test each by itself; mixed samples hide a pocket.",
    "Dissolve about 1 g of soap, warm, in 10 to 20 mL of neutralised alcohol. Not in "
    "water: in water every soap turns pink by itself, finished or not.",
    "Add a drop or two of phenolphthalein solution, 1 % in alcohol.",
    "Pink that stays means free alkali. Colourless passes only if all spots pass.",
    "Repeat the next day, and again after dilution: the last of the alkali and closed "
    "pockets react late.",
    "An indicator only says yes or no: how much free alkali, a titration says.",
    "Never test by tongue or on the skin.",
)


LEAST_STRENGTH = Decimal("0.01")  # common practice, no source
MOST_SAMPLE = Decimal(100)  # what a flask takes; common practice, no source


@dataclass(frozen=True, slots=True)
class Limit:
    """A published upper limit: ``figure`` is a mass fraction, counted as ``alkali``."""

    product: str
    quantity: str
    figure: Decimal
    alkali: str
    source: str
    standing: str
    note: str = "It applies to the product that its standard names, and to no other."


_LIMITS = (
    Limit(
        "toilet soap",
        "free alkali",
        Decimal("0.001"),
        "NaOH",
        "SNI 06-3532-1994",
        "verified",
    ),
    Limit(
        "potassium soap",
        "free alkali",
        Decimal("0.0014"),
        "KOH",
        "Indonesian standard, as quoted in a study of liquid soap",
        "secondary",
    ),
    Limit(
        "toilet soap",
        "free caustic alkali",
        Decimal("0.0005"),
        "NaOH",
        "IS 2888; GOST 28546",
        "recalled",
    ),
    Limit(
        "green soap",
        "free alkali hydroxides",
        Decimal("0.0025"),
        "KOH",
        "USP, green soap",
        "recalled",
    ),
)


def limits() -> tuple[Limit, ...]:
    """Published limits of free alkali; ``standing`` says which were read again."""
    return _LIMITS


def free_alkali(
    sample_g: Decimal,
    titrant_mL: Decimal,
    normality: Decimal,
    *,
    blank_mL: Decimal = ZERO,
) -> Decimal:
    """The mass fraction of free alkali, as KOH, from the acid that its sample took.

    ``normality`` is mol/L of acid equivalents; ``blank_mL`` is what the alcohol alone
    takes. Raises Refused where the blank is more than the titration.
    """
    with localcontext(EXACT):
        moles = _moles(titrant_mL, normality, blank_mL)
        return moles * KOH / above_zero(sample_g, "the grams of the sample")


def misread(
    sample_g: Decimal, titrant_mL: Decimal, normality: Decimal, blank_mL: Decimal
) -> tuple[str, str]:
    """Which reading of a titrated soap cannot be, and what to do; ("", "") for none."""
    if normality < LEAST_STRENGTH:
        return "normality", (
            f"Acid of {plain(normality)} mol/L shows nothing: read its strength off "
            "the bottle again."
        )
    if titrant_mL and blank_mL == titrant_mL:
        return "blank", (
            "The alcohol alone took as much acid as the sample: neutralise it, and "
            "titrate again."
        )
    if sample_g > MOST_SAMPLE:
        return "sample", (
            f"{plain(sample_g)} g is no sample: about 10 g go into the flask. Read "
            "the balance again."
        )
    try:
        found = free_alkali(sample_g, titrant_mL, normality, blank_mL=blank_mL)
    except Refused as fault:
        return "blank", str(fault)
    if found > 1:
        return "titrant", ("That is more alkali than soap: read weight and acid again.")
    return "", ""


def as_other(fraction: Decimal, given: str, wanted: str) -> Decimal:
    """The same free alkali counted as the other hydroxide: NaOH x 1.4027 = KOH."""
    with localcontext(EXACT):
        counted = not_negative(fraction, f"the free alkali as {given}")
        return counted / _alkali(given) * _alkali(wanted)


def citric_for(
    free_koh_grams: Decimal, kind: str = "citric", *, purity: Decimal = ONE
) -> Decimal:
    """Grams of an acid that take up so many grams of free KOH and no soap.

    Free KOH / 0.876084 for dry citric acid; ``kind`` may be any acid of the trade.
    """
    if kind not in ACID_KINDS:
        raise Refused(
            f"{kind!r} is not an acid known here: use one of {', '.join(ACID_KINDS)}."
        )
    facts = ACID_KINDS[kind]
    pure = share_above_zero(purity, f"the purity of the {kind} acid")
    with localcontext(EXACT):
        moles = not_negative(free_koh_grams, "the grams of free KOH") / KOH
        return moles / facts.hydrogens * facts.as_sold / pure


def caustic_of(total: Decimal, carbonate: Decimal, alkali: str = "KOH") -> Decimal:
    """The hydroxide in an assay that counts carbonate as alkali.

    Both are mass fractions of the product; ``total`` is expressed as the hydroxide,
    ``carbonate`` as K2CO3 or Na2CO3. Raises Refused where less than nothing is left.
    """
    share(total, f"the total alkali as {alkali}")
    share(carbonate, "the carbonate")
    with localcontext(EXACT):
        caustic = total - carbonate * 2 * _alkali(alkali) / _carbonate(alkali)
    if caustic < 0:
        raise Refused(
            f"A carbonate of {plain(carbonate)} alone is more alkali than the "
            f"{plain(total)} in all: correct one of them."
        )
    return caustic


def part_titrated(made_up_mL: Decimal | None, taken_mL: Decimal | None) -> Decimal:
    """The share of a solution that was titrated: all of it where neither is said."""
    if made_up_mL is None and taken_mL is None:
        return ONE
    if not made_up_mL or not taken_mL:
        raise Refused(
            "Write both: to how many mL it was made up, and how many were titrated."
        )
    if taken_mL > made_up_mL:
        raise Refused(
            f"{plain(taken_mL)} mL cannot be taken out of {plain(made_up_mL)} mL: read "
            "the flask and the pipette again."
        )
    return taken_mL / made_up_mL


@dataclass(frozen=True, slots=True)
class Assay:
    """A tub of alkali as mass fractions: ``caustic`` is the hydroxide itself.

    ``carbonate`` is None where one end point alone was read: then half of whatever
    carbonate there is stands in ``caustic``.
    """

    caustic: Decimal
    carbonate: Decimal | None = None


def assay(
    sample_g: Decimal,
    titrant_mL: Decimal,
    normality: Decimal,
    *,
    part: Decimal = ONE,
    alkali: str = "KOH",
    second_mL: Decimal | None = None,
) -> Assay:
    """What a tub holds, from the acid that its solution took.

    ``titrant_mL`` is to the colour change of phenolphthalein: all hydroxide, and half
    the carbonate (to bicarbonate). ``second_mL``, counted from the start, is on to that
    of methyl orange: the other half as well. So twice the difference is the carbonate's
    acid (Warder's method, a textbook's: from memory). ``part`` is the share of the
    solution that was titrated. Raises Refused where the figures cannot be.
    """
    mass = above_zero(sample_g, f"the grams of {alkali}")
    taken = mass * share_above_zero(part, "the part of the solution titrated")
    with localcontext(EXACT):
        first = _moles(titrant_mL, normality, ZERO)
        if second_mL is None:
            return _possible(Assay(first * _alkali(alkali) / taken), alkali)
        late = _moles(second_mL, normality, ZERO) - first
    if late < 0:
        raise Refused(
            f"The second end point is at {plain(second_mL)} mL, before the first at "
            f"{plain(titrant_mL)} mL: read both from the start."
        )
    with localcontext(EXACT):
        return _of_both_ends(first / taken, late / taken, alkali)


def _of_both_ends(first: Decimal, late: Decimal, alkali: str) -> Assay:
    """From the acid to each end point, in mol for a gram of the product."""
    with localcontext(EXACT):
        total = (first + late) * _alkali(alkali)
        carbonate = late * _carbonate(alkali)
        _possible(Assay(total), alkali)
        return _possible(Assay(caustic_of(total, carbonate, alkali), carbonate), alkali)


def _possible(found: Assay, alkali: str) -> Assay:
    whole = found.caustic + (found.carbonate or ZERO)
    if whole > 1:
        percent = plain((whole * 100).quantize(Decimal("0.01")))
        raise Refused(
            f"That is {percent} % {alkali}, more than the whole. Read the grams, the "
            "dilution and the acid again."
        )
    return found


def _moles(titrant_mL: Decimal, normality: Decimal, blank_mL: Decimal) -> Decimal:
    not_negative(titrant_mL, "the mL of titrant")
    not_negative(blank_mL, "the mL of the blank")
    above_zero(normality, "the normality of the titrant, mol/L")
    if blank_mL > titrant_mL:
        raise Refused(
            f"The blank took {plain(blank_mL)} mL, more than the sample's "
            f"{plain(titrant_mL)} mL: check both readings, or neutralise the alcohol."
        )
    return (titrant_mL - blank_mL) / 1000 * normality


def _alkali(alkali: str) -> Decimal:
    if alkali not in ALKALIS:
        raise Refused(f"The alkali is KOH or NaOH, not {alkali!r}.")
    return ALKALIS[alkali]


def _carbonate(alkali: str) -> Decimal:
    """Two hydroxides and carbon dioxide, less the water that leaves."""
    return 2 * _alkali(alkali) + molar_mass("CO2") - WATER
