"""What the domain answers to the worked cases."""

from decimal import Decimal as D

from production.chemistry.domain.bands import AlkaliRange, OilRange
from production.chemistry.domain.blending import blend_to
from production.chemistry.domain.composition import (
    merge,
    of_acid,
    of_alkali,
    of_oil,
    of_water,
    react,
    superfat,
)
from production.chemistry.domain.constants import KOH, molar_mass
from production.chemistry.domain.dilution import finish_to, strength_after
from production.chemistry.domain.late_acid import acidify
from production.chemistry.domain.pot import Acid, Oil, Pot
from production.chemistry.domain.profile import iodine_as_triglyceride
from production.chemistry.domain.ranges import superfat_range
from production.chemistry.domain.saponification import saponify
from production.chemistry.domain.solutions import (
    brine,
    density_at,
    mass,
    solubility,
    strength_of,
)
from production.chemistry.domain.titration import as_other, caustic_of, citric_for
from tests.production.chemistry.chemistry_cases import (
    WORKED,
    acid_behind,
    fat_of,
    soap_of,
)
from tests.production.chemistry.test_composition import poured
from tests.published.test_solutions import BRINE

# How the domain is asked. Every function answers in the unit of its cases.


def sv_of(acid):
    """Of a fat that is one fatty acid and glycerol."""
    return fat_of({acid: D(1)})


def iodine_of(acid):
    return iodine_as_triglyceride({acid: D(1)})


def neutralisation(acid):
    """Of what is set free from the soap of a fat that is this acid alone."""
    return acid_behind(Oil(acid, D(1000), sv_of(acid))).sv


def takes(alkali, kind, grams, purity):
    return as_other(Acid(kind, D(grams), D(purity)).moles * KOH, "KOH", alkali)


def cook(*oils, superfat="0", **terms):
    terms = {"koh_purity": D(1), "naoh_purity": D(1)} | terms
    return saponify(Pot(oils, D(superfat), **terms))


def figure(name, made):
    return getattr(made(), name)


def triolein():
    return Oil("triolein", D(1000), sv_of("C18:1"))


def oil(sv="190", grams="1000", **facts):
    return Oil("oil", D(grams), D(sv), **facts)


def oleic():
    return Oil("oleic", D(20), neutralisation("C18:1"), kind="acid")


def two_alkalis(share):
    return cook(oil(), koh_share=share)


def closure():
    made = cook(triolein())
    return 1000 + made.koh_pure - made.glycerol - made.soap_potassium


def fatty_matter():
    """What acid enough sets free from all the soap."""
    return acidify(soap_of(triolein()), Acid("acetic", D(1000), D(1))).acid_freed


def glycerol_factor():
    return cook(oil("200", "100")).glycerol / 200


def citrate():
    sour = merge(of_acid("citric", D(1), D(1)), of_alkali("KOH", D(5), D(1)))
    return react(sour).composition.of_kind("acid salt")


def carbonate_made():
    """Of a gram of carbon dioxide, by potassium hydroxide."""
    return molar_mass("K2CO3") / molar_mass("CO2")


def spoiled():
    """The potassium hydroxide that is in it, as a titration counts it."""
    part = D("0.035")
    return carbonate_made() * (1 - caustic_of(D(1), part)) / part


def caustic():
    return 100 * caustic_of(D("0.850"), D("0.035"))


def mass_share():
    made = two_alkalis(D("0.90"))
    return made.koh_pure / (made.koh_pure + made.naoh_pure)


def mole_share(by_mass):
    lye = [of_alkali("KOH", D(by_mass), D(1)), of_alkali("NaOH", 1 - D(by_mass), D(1))]
    return react(merge(of_oil("oil", D(1000), D(190)), *lye)).koh_share


def mean_soap(sv):
    made = cook(oil(sv))
    return made.soap_potassium / (made.koh_pure / KOH)


def mean_acid(sv):
    return 1000 * KOH / acid_behind(oil(sv)).sv


def free_oleic():
    return 100 / neutralisation("C18:1")


def in_three():
    return 100 * strength_after(D("0.60"), D(3))


def to_a_quarter(paste):
    return finish_to(D(paste), D("0.60"), D("0.25"), {}).water


def salt():
    return brine(D("0.20"), water=D(1000)).solute


def in_a_litre():
    return D("0.20") * mass(D(1000), density_at(BRINE, D("0.20")))


def salted():
    return blend_to(D("0.02"), D("0.20"), D(0), D(100)).first


def lye():
    mixed = merge(of_alkali("KOH", D(200), D("0.90")), of_water(D(400)))
    return 100 * mixed.of_kind("alkali") / mixed.total


def saturated(alkali):
    return 100 * strength_of("per 100 g water", solubility(alkali))


def limit_as_koh():
    return 100 * as_other(D("0.0010"), "NaOH", "KOH")


def potash():
    return of_alkali("KOH", D("91.7"), D("0.85")).of_kind("alkali")


def for_oleic():
    return cook(oleic()).koh_pure


def sv_just_saponified():
    """From the potash that the oleic acid of the formula leaves to 380 g of oil."""
    acid = of_oil("oleic", D(20), oleic().sv, oil_kind="acid")
    left = react(merge(acid, of_alkali("KOH", D("91.7"), D("0.85")))).composition
    return 1000 * left.of_kind("alkali") / 380


def fat_left(potash, later=None):
    """Of all fat, where so much pure KOH met the first kilo of it."""
    lye = of_alkali("KOH", D(potash), D(1))
    pot = react(merge(of_oil("oil", D(1000), D(190)), lye)).composition
    if later:
        pot = merge(pot, of_oil("oil", D(later), D(190)))
    return 100 * superfat(pot)


def citric_dose():
    return citric_for(cook(oil(), superfat="-0.03").free_koh)


def freed():
    return acidify(soap_of(oleic()), Acid("citric", D(1), D(1))).acid_freed


def batch():
    return saponify(WORKED)


def poured_in():
    return poured(WORKED, batch())


def mass_out():
    return react(poured_in()).composition.total


def soap_of_paste():
    return 100 * batch().soap_fraction


def water_to_a_quarter():
    made = batch()
    return finish_to(made.paste, made.soap_fraction, D("0.25"), {}).water


def at_end(values):
    """Pure KOH for the three oils at one end of their published ranges."""
    return cook(*(oil(sv, grams) for sv, grams in zip(values, GRAMS, strict=True)))


def true_superfat():
    """Three per cent set on the middle values, over all of the ranges, in percent."""
    oils = [
        OilRange(name, D(grams), D(sv), D(low), D(high))
        for name, grams, sv, low, high in zip(
            ("olive", "coconut", "castor"), GRAMS, MIDDLE, LOW, HIGH, strict=True
        )
    ]
    middle = [oil(sv, grams) for sv, grams in zip(MIDDLE, GRAMS, strict=True)]
    weighed = cook(*middle, superfat="0.03").koh_weighed
    return superfat_range(oils, [AlkaliRange("KOH", weighed, D(1), D(1), D(1))]).ends


# Olive, coconut and castor oil: CXS 33, CXS 210 and BP 1993 give the ranges.
GRAMS = ("600", "300", "100")
LOW, MIDDLE, HIGH = (
    ("184", "248", "176"),
    ("190.5", "255", "181"),
    ("196", "265", "187"),
)
