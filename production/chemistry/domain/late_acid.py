"""Acid that meets finished soap: free alkali first, then the soap itself.

An acid that was not given alkali of its own takes free alkali, and past that turns
soap back into fatty acid: one mole of soap for each mole of acid equivalent, whatever
the acid, since all of them are stronger than a fatty acid in its soap (apparent pKa
8.3 to 10.2: Kanicky and Shah, J. Colloid Interface Sci. 256 (2002) 201). Soap and
freed acid join to acid soap, which does not dissolve: haze, then curd or an oily
layer. Potassium and sodium soap, and the soaps of all oils, are turned alike by mole.

A freed acid stands in the contents as fat of its oil, of the kind acid: labels go on
naming it after the oil, and alkali that comes later takes it as it takes any fat.
Carbonate is carried through unchanged, here as in the cook.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal, localcontext

from production.chemistry.domain.composition import (
    WATER_ITSELF,
    Composition,
    Reaction,
    Substance,
    acid_moles,
    koh_share,
    merge,
    moles_of_alkali,
    of_acid,
    of_alkali,
    of_oil,
    react,
    superfat,
)
from production.chemistry.domain.constants import ACID_KINDS, ALKALIS, EXACT, KOH, WATER
from production.chemistry.domain.pot import Acid
from production.quantities.domain.numbers import ONE, ZERO, grams

FREE_KOH = Substance("alkali", alkali="KOH")

HAZE = (
    "The acid sets free {freed} g of fatty acid from {lost} g of soap: expect a haze, "
    "then curd or an oily layer, and less soap. Add only what the free alkali takes."
)
TOO_MUCH = "{left} g of the acid find neither alkali nor soap and stay acid."


@dataclass(frozen=True, slots=True)
class Late:
    """What an acid did, in grams.

    ``haze`` is whether any fatty acid was set free.
    """

    composition: Composition
    soap_lost: Decimal
    acid_freed: Decimal
    haze: bool
    remarks: tuple[str, ...] = ()


def acidify(composition: Composition, acid: Acid) -> Late:
    """Add an acid to finished soap; grams in = grams out.

    Fat that is left does not react here: only alkali and soap meet the acid.
    """
    before = composition
    soured = merge(before, of_acid(acid.kind, acid.grams, acid.purity))
    with localcontext(EXACT):
        after = _split_soap(_neutralised(soured))
        lost = before.of_kind("soap") - after.of_kind("soap")
        freed = after.of_kind("fat") - before.of_kind("fat")
        return Late(
            composition=after,
            soap_lost=lost,
            acid_freed=freed,
            haze=freed > 0,
            remarks=_remarks(lost, freed, after.of_kind("acid")),
        )


def settle(composition: Composition) -> Reaction:
    """``react``, and then what acid is left over takes the soap.

    Where no acid outlasts the alkali, or there is no soap, it is ``react`` alone.
    """
    reaction = react(composition)
    made = reaction.composition
    if not (made.of_kind("acid") and made.of_kind("soap")):
        return reaction
    with localcontext(EXACT):
        made = _split_soap(made)
    return Reaction(made, superfat(made), koh_share(made))


def _remarks(lost: Decimal, freed: Decimal, left: Decimal) -> tuple[str, ...]:
    remarks = []
    if freed > 0:
        remarks.append(HAZE.format(freed=grams(freed), lost=grams(lost)))
    if left > 0:
        remarks.append(TOO_MUCH.format(left=grams(left)))
    return tuple(remarks)


def _neutralised(composition: Composition) -> Composition:
    """Acid and free alkali, with the fat set aside."""
    fat = Composition({s: g for s, g in composition.items() if s.kind == "fat"})
    rest = Composition({s: g for s, g in composition.items() if s.kind != "fat"})
    return merge(react(rest).composition, fat)


def _split_soap(composition: Composition) -> Composition:
    """Turn soap into fatty acid with what acid there is."""
    acids = {s: acid_moles(s, g) for s, g in composition.items() if s.kind == "acid"}
    soap = moles_of_alkali(composition, "soap")
    sour, soapy = sum(acids.values(), ZERO), sum(soap.values(), ZERO)
    if not sour or not soapy:
        return composition
    # Exactly 1 where one of them is used up: rounding leaves no trace of it.
    used = ONE if sour <= soapy else soapy / sour
    turned = ONE if soapy <= sour else sour / soapy
    shares = {alkali: moles / soapy for alkali, moles in soap.items()}
    pot = dict(composition)
    for substance in acids:
        _salts(pot, substance, used, shares)
    for substance in [s for s in composition if s.kind == "soap"]:
        split = pot[substance] * turned
        pot[substance] *= ONE - turned
        freed, part = _freed(substance)
        pot[freed] = pot.get(freed, ZERO) + split * part
    return Composition(pot)


def _salts(
    pot: dict[Substance, Decimal],
    acid: Substance,
    used: Decimal,
    shares: Mapping[str, Decimal],
) -> None:
    """The acid takes the alkali of the soap and gives its hydrogen: no water forms."""
    facts = ACID_KINDS[acid.of]
    moles = pot[acid] * used / facts.dry
    pot[acid] *= ONE - used
    for alkali, share in shares.items():
        bound = facts.hydrogens * ALKALIS[alkali]
        weight = facts.dry + bound - facts.hydrogens * WATER
        salt = Substance("acid salt", acid.of, alkali, alkali_bound=bound / weight)
        pot[salt] = pot.get(salt, ZERO) + moles * share * weight


def _freed(soap: Substance) -> tuple[Substance, Decimal]:
    """The fatty acids of a soap, and grams of them in a gram of it.

    Their neutralisation value comes from the oil alone, so that the acids of the
    potassium and of the sodium soap of one oil are one substance.
    """
    gram = soap.facts.per_gram()
    acids = gram.acyl + gram.moles * WATER
    facts = soap.facts
    if (facts.kind, facts.free_acid, facts.unsaponifiable) == ("acid", facts.sv, ZERO):
        value = facts.sv
    else:
        value = 1000 * KOH * gram.moles / acids
    freed = replace(
        soap,
        kind="fat",
        alkali="",
        sv=value,
        acid_value=value,
        unsaponifiable=ZERO,
        oil_kind="acid",
        alkali_bound=None,
    )
    return freed, acids / (gram.acyl + gram.moles * ALKALIS[soap.alkali])


def free_koh(composition: Composition) -> Decimal:
    """Grams of free alkali, both kinds counted as KOH."""
    with localcontext(EXACT):
        return sum(moles_of_alkali(composition, "alkali").values(), ZERO) * KOH


def potassium_soap(
    sv: Decimal, grams: Decimal, content: Decimal, free: Decimal
) -> Composition:
    """So many grams of the soap of oils of that saponification value.

    ``content`` and ``free`` are the mass shares of soap and of free KOH; the rest is
    water.
    """
    with localcontext(EXACT):
        pot = merge(of_oil("oils", ONE, sv), of_alkali("KOH", sv / 1000, ONE))
        soap = next(one for one in react(pot).composition if one.kind == "soap")
        water = grams * (ONE - content - free)
        parts = {soap: grams * content, FREE_KOH: grams * free, WATER_ITSELF: water}
    return Composition(parts)


def as_much_of(
    composition: Composition, grams: Decimal, free: Decimal | None
) -> Composition:
    """So many grams of the same; ``free`` is the mass share of KOH that was read."""
    whole = composition.total
    with localcontext(EXACT):
        parts = {s: g * grams / whole for s, g in composition.items()}
        if free is not None:
            parts = {s: g for s, g in parts.items() if s.kind != "alkali"}
            parts[FREE_KOH] = grams * free
    return Composition(parts)
