"""Saponification: alkali, soap, glycerol and water of one cook, to the last digit.

Conventions. The saponification value is of the whole oil and includes its free acids.
Superfat comes off every oil alike and what is left over keeps the oil's own values.
Carbonate in the alkali is carried through unchanged; the rest of it is water. A fat
gives one glycerol per three ester bonds. Water forms where an acid is neutralised, not
where an ester is split. Unsaponifiables are neither soap nor fat left over.
Evaporation takes water only. Soap is the salts of the fatty acids, nothing else.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from decimal import Decimal, localcontext
from functools import reduce
from types import MappingProxyType

from production.chemistry.domain.constants import (
    EXACT,
    KOH,
    NAOH,
    SOLUBILITY_AT_20,
    WATER,
)
from production.chemistry.domain.pot import Acid, Oil, Pot
from production.quantities.domain.numbers import ONE, ZERO, grams, plain
from production.quantities.domain.refusal import Refused

__all__ = ["Acid", "Oil", "OilShare", "Pot", "Saponification", "saponify"]


@dataclass(frozen=True, slots=True)
class OilShare:
    """What one oil became, in grams."""

    soap_potassium: Decimal
    soap_sodium: Decimal
    glycerol: Decimal
    leftover: Decimal
    unsaponified: Decimal

    def __add__(self, other: "OilShare") -> "OilShare":
        return OilShare(
            *(
                getattr(self, field.name) + getattr(other, field.name)
                for field in fields(self)
            )
        )


@dataclass(frozen=True, slots=True)
class Saponification:
    """Grams, unrounded; what depends on the lye water is None where none is known.

    ``water_formed`` is from free fatty acids and from added acids together.
    ``water_total`` is before evaporation: lye water, water in alkali and acids, water
    formed. ``remarks`` are sentences for the person at the kettle.
    """

    koh_pure: Decimal
    koh_weighed: Decimal
    naoh_pure: Decimal
    naoh_weighed: Decimal
    free_koh: Decimal
    free_naoh: Decimal
    lye_water: Decimal | None
    soap_potassium: Decimal
    soap_sodium: Decimal
    glycerol: Decimal
    leftover_oil: Decimal
    unsaponified: Decimal
    acid_salts: Decimal
    carbonate: Decimal
    water_formed: Decimal
    water_total: Decimal | None
    paste: Decimal | None
    water_in_paste: Decimal | None
    soap_fraction: Decimal | None
    by_oil: Mapping[str, OilShare]
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Alkali:
    """What is weighed of the two hydroxides together."""

    koh_pure: Decimal
    koh_weighed: Decimal
    naoh_pure: Decimal
    naoh_weighed: Decimal
    carbonate: Decimal

    @property
    def pure(self) -> Decimal:
        return self.koh_pure + self.naoh_pure

    @property
    def weighed(self) -> Decimal:
        return self.koh_weighed + self.naoh_weighed

    @property
    def water(self) -> Decimal:
        return self.weighed - self.pure - self.carbonate


def saponify(pot: Pot) -> Saponification:
    """Work one recipe through; grams, exact to far below a milligram.

    Raises Refused where the lye or the evaporation asked for cannot be.
    """
    with localcontext(EXACT):
        demand = sum((oil.grams * oil.facts.per_gram().moles for oil in pot.oils), ZERO)
        acid_moles = sum((acid.moles for acid in pot.acids), ZERO)
        alkali = _alkali(pot, (ONE - pot.superfat) * demand + acid_moles)
        by_oil, free_acid_water = _oils(pot)
        whole = reduce(OilShare.__add__, by_oil.values())
        surplus = max(-pot.superfat, ZERO) * demand
        formed = free_acid_water + acid_moles * WATER
        lye_water = _lye_water(pot, alkali)
        water, paste, wet = _paste(pot, alkali, lye_water, formed)
        soap = whole.soap_potassium + whole.soap_sodium
        return Saponification(
            koh_pure=alkali.koh_pure,
            koh_weighed=alkali.koh_weighed,
            naoh_pure=alkali.naoh_pure,
            naoh_weighed=alkali.naoh_weighed,
            free_koh=surplus * pot.koh_share * KOH,
            free_naoh=surplus * (ONE - pot.koh_share) * NAOH,
            lye_water=lye_water,
            soap_potassium=whole.soap_potassium,
            soap_sodium=whole.soap_sodium,
            glycerol=whole.glycerol,
            leftover_oil=whole.leftover,
            unsaponified=whole.unsaponified,
            acid_salts=_acid_salts(pot, acid_moles),
            carbonate=alkali.carbonate,
            water_formed=formed,
            water_total=water,
            paste=paste,
            water_in_paste=wet,
            soap_fraction=None if paste is None else soap / paste,
            by_oil=by_oil,
            remarks=_remarks(pot, alkali, lye_water),
        )


def _alkali(pot: Pot, moles: Decimal) -> _Alkali:
    koh = pot.koh_share * moles * KOH
    naoh = (ONE - pot.koh_share) * moles * NAOH
    # A purity is missing only where none of that alkali is used.
    koh_weighed = koh / (pot.koh_purity or ONE)
    naoh_weighed = naoh / (pot.naoh_purity or ONE)
    carbonate = koh_weighed * pot.koh_carbonate + naoh_weighed * pot.naoh_carbonate
    return _Alkali(koh, koh_weighed, naoh, naoh_weighed, carbonate)


def _oils(pot: Pot) -> tuple[Mapping[str, OilShare], Decimal]:
    """Each oil's products, two of one name together, and the water they form."""
    left = max(pot.superfat, ZERO)
    shares: dict[str, OilShare] = {}
    water = ZERO
    for oil in pot.oils:
        gram = oil.facts.per_gram()
        used = (ONE - left) * oil.grams
        made = OilShare(
            soap_potassium=pot.koh_share * used * (gram.acyl + gram.moles * KOH),
            soap_sodium=(ONE - pot.koh_share) * used * (gram.acyl + gram.moles * NAOH),
            glycerol=used * gram.glycerol,
            leftover=left * oil.grams,
            unsaponified=used * gram.unsaponified,
        )
        shares[oil.name] = shares[oil.name] + made if oil.name in shares else made
        water += used * gram.water
    return MappingProxyType(shares), water


def _acid_salts(pot: Pot, moles: Decimal) -> Decimal:
    """Citrates, lactates, acetates: dry acid + alkali - the water that forms."""
    share = pot.koh_share
    dry = sum((acid.dry for acid in pot.acids), ZERO)
    return dry + moles * (share * KOH + (ONE - share) * NAOH - WATER)


def _lye_water(pot: Pot, alkali: _Alkali) -> Decimal | None:
    """The water to weigh: what the lye takes, less the liquid in its place."""
    liquid = _lye_liquid(pot, alkali)
    if liquid is None:
        return None
    if pot.in_the_lye > liquid:
        raise Refused(
            f"Take less of the other liquid in the lye: {grams(pot.in_the_lye)} g "
            f"are more than the {grams(liquid)} g of liquid that the lye takes, and no "
            "water would be left to dissolve the alkali."
        )
    return liquid - pot.in_the_lye


def _lye_liquid(pot: Pot, alkali: _Alkali) -> Decimal | None:
    if pot.water is not None:
        return pot.water
    if pot.water_per_alkali is not None:
        return pot.water_per_alkali * alkali.weighed
    if pot.lye_strength is None:
        return None
    water = alkali.pure / pot.lye_strength - alkali.weighed
    if water < 0:
        strongest = alkali.pure / alkali.weighed
        raise Refused(
            f"Lower the lye strength: {plain(pot.lye_strength * 100)} % is above the "
            f"{strongest * 100:.2f} % that this alkali has without any water."
        )
    return water


def _paste(
    pot: Pot, alkali: _Alkali, lye_water: Decimal | None, formed: Decimal
) -> tuple[Decimal | None, Decimal | None, Decimal | None]:
    """Water before evaporation, paste, and the water left in it."""
    if lye_water is None:
        return None, None, None
    acid = sum((acid.grams for acid in pot.acids), ZERO)
    dry = sum((acid.dry for acid in pot.acids), ZERO)
    water = lye_water + alkali.water + (acid - dry) + formed
    if pot.evaporated > water:
        raise Refused(
            f"Only {grams(water)} g of water were in the kettle: "
            f"{plain(pot.evaporated)} g cannot have evaporated. Check the weighing."
        )
    oils = sum((oil.grams for oil in pot.oils), ZERO)
    others = acid + pot.in_the_lye + pot.added
    paste = oils + alkali.weighed + lye_water + others - pot.evaporated
    return water, paste, water - pot.evaporated


def _remarks(pot: Pot, alkali: _Alkali, lye_water: Decimal | None) -> tuple[str, ...]:
    """What can be done but should be seen first."""
    remarks = [
        f"{oil.name} is a free acid with an acid value of 0: it should be near its "
        f"saponification value of {plain(oil.sv)}, and water would form."
        for oil in pot.oils
        if oil.kind == "acid" and oil.facts.free_acid == 0
    ]
    if pot.superfat < 0:
        remarks.append(
            "The superfat is below 0: free alkali stays in the soap and has to be "
            "neutralised before anybody washes with it."
        )
    needed = 100 * (
        alkali.koh_pure / SOLUBILITY_AT_20["KOH"]
        + alkali.naoh_pure / SOLUBILITY_AT_20["NaOH"]
    )
    if lye_water is not None and lye_water + alkali.water < needed:
        remarks.append(
            f"At 20 degC this alkali needs {grams(needed)} g of water to dissolve "
            f"(100 g of it take {SOLUBILITY_AT_20['KOH']} g KOH or "
            f"{SOLUBILITY_AT_20['NaOH']} g NaOH) and has "
            f"{grams(lye_water + alkali.water)} g: part of it stays solid."
        )
    return tuple(remarks)
