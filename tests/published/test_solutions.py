"""Brine, lye and free alkali against figures published elsewhere."""

import csv
from decimal import Decimal as D
from pathlib import Path

import pytest

from production.chemistry.domain.constants import SOLUBILITY_AT_20, molar_mass
from production.chemistry.domain.solutions import (
    SATURATED_BRINE,
    SOLUBILITY,
    DensityPoint,
    brine,
    density_at,
    lye_density,
    mass,
    strength_from_density,
    strength_of,
    volume,
)
from production.chemistry.domain.titration import as_other, caustic_of, limits

FILE = Path(__file__).parents[2] / "fixtures" / "reference" / "solutions.csv"


def rows():
    with FILE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def density_tables():
    """The shipped densities as the domain takes them: fractions and g/mL."""
    tables = {}
    for row in rows():
        if row["property"] == "density":
            point = DensityPoint(
                D(row["mass_percent"]) / 100,
                D(row["temperature_c"]),
                D(row["value"]) / 1000,
            )
            tables.setdefault(row["substance"], []).append(point)
    return tables


TABLES = density_tables()
BRINE = TABLES["NaCl"]
SALT_DISSOLVED = ("NaCl", "solubility")


def test_each_row_has_its_unit_its_source_and_its_standing():
    for row in rows():
        assert row["unit"] in {"kg/m3", "g per 100 g water", "g per 100 mL water"}
        assert (row["unit"] == "kg/m3") == (row["property"] == "density")
        assert bool(row["mass_percent"]) == (row["property"] == "density")
        assert row["source"]
        assert row["standing"] in {"verified", "secondary", "recalled", "computed"}


def test_the_solubilities_of_the_domain_are_the_table():
    tabled = {}
    for row in rows():
        if row["property"] == "solubility" and row["substance"] != "NaCl":
            known = tabled.setdefault(row["substance"], {})
            known[D(row["temperature_c"])] = D(row["value"])
    assert tabled == {alkali: dict(known) for alkali, known in SOLUBILITY.items()}
    at_20 = {alkali: known[D(20)] for alkali, known in SOLUBILITY.items()}
    assert at_20 == dict(SOLUBILITY_AT_20)


def test_saturated_brine_is_the_tabled_solubility():
    """Handbook value 35.9 g in 100 g of water at 20 degC, recalled."""
    (row,) = [r for r in rows() if (r["substance"], r["property"]) == SALT_DISSOLVED]
    assert round(strength_of("per 100 g water", D(row["value"])), 3) == SATURATED_BRINE


@pytest.mark.parametrize("substance", ["NaCl", "KOH", "NaOH"])
def test_densities_rise_with_strength(substance):
    for temperature in {point.temperature for point in TABLES[substance]}:
        points = sorted(
            (p.strength, p.density)
            for p in TABLES[substance]
            if p.temperature == temperature
        )
        densities = [density for _, density in points]
        assert densities == sorted(set(densities))


@pytest.mark.parametrize(
    ("percent", "grams"),
    [
        ("2", "20.250"),
        ("10", "107.070"),
        ("16", "178.592"),
        ("20", "229.560"),
        ("26", "311.272"),
    ],
)
def test_a_litre_of_brine_holds_the_salt_that_the_handbook_lists(percent, grams):
    """Poradnik fizykochemiczny, WNT 1974: NaCl, grams in a litre at 20 degC."""
    strength = D(percent) / 100
    assert abs(strength * mass(D(1000), density_at(BRINE, strength)) - D(grams)) < D(
        "0.01"
    )


# Rogers and Pitzer, J. Phys. Chem. Ref. Data 11 (1982) 15: specific volume in cm3/g of
# NaCl solutions of so many moles in a kilo of water, at 10, 20 and 25 degC.
VOLUMES = {
    1: ("0.961101", "0.963544", "0.965038"),
    2: ("0.927905", "0.930909", "0.932590"),
    3: ("0.899262", "0.902565", "0.904339"),
    4: ("0.874201", "0.877643", "0.879457"),
    5: ("0.851958", "0.855469", "0.857301"),
}


@pytest.mark.parametrize("molal", VOLUMES)
def test_brine_has_the_density_that_a_second_publication_gives(molal):
    """The 15 degC rows are computed with the handbook's temperature coefficient: the
    column it prints for 15 degC fits neither that coefficient nor this publication."""
    dissolved = molal * molar_mass("NaCl")
    strength = dissolved / (1000 + dissolved)
    at_10, at_20, at_25 = (1 / D(v) for v in VOLUMES[molal])
    assert abs(density_at(BRINE, strength, D(20)) - at_20) < D("0.0003")
    assert abs(density_at(BRINE, strength, D(25)) - at_25) < D("0.0003")
    at_15 = (at_10 + at_20) / 2
    assert abs(density_at(BRINE, strength, D(15)) - at_15) < D("0.0006")


# Laliberte and Cooper's correlation, kg/m3: no figure of the handbook is in it.
@pytest.mark.parametrize(
    ("percent", "temperature", "density"),
    [
        ("5", 20, "1033.9"),
        ("15", 20, "1108.8"),
        ("25", 20, "1188.5"),
        ("15", 25, "1106.7"),
    ],
)
def test_brine_has_the_density_of_a_correlation(percent, temperature, density):
    found = density_at(BRINE, D(percent) / 100, D(temperature))
    assert abs(found / D(density) * 1000 - 1) < D("0.0006")


@pytest.mark.parametrize(
    ("percent", "density"),
    [
        ("5", "1.045"),
        ("10", "1.091"),
        ("20", "1.188"),
        ("30", "1.290"),
        ("40", "1.400"),
    ],
)
def test_potash_lye_agrees_with_a_laboratory_table(percent, density):
    """University physics table of aqueous solutions, 18 degC: within 0.25 % of ours at
    20 degC."""
    ours = lye_density("KOH", D(percent) / 100, TABLES)
    assert abs(ours / D(density) - 1) < D("0.0025")


@pytest.mark.parametrize(
    ("percent", "density"), [("10", "1.109"), ("20", "1.219"), ("30", "1.326")]
)
def test_soda_lye_agrees_with_a_correlation(percent, density):
    """Laliberte and Cooper."""
    ours = lye_density("NaOH", D(percent) / 100, TABLES)
    assert abs(ours / D(density) - 1) < D("0.0015")


def test_twenty_per_cent_brine_is_three_different_brines():
    """16.7 % of 20 g to 100 g of water, 17.7 % of 20 g in 100 mL: computed."""
    assert round(100 * strength_of("per 100 g water", D(20)), 1) == D("16.7")
    by_volume = strength_of("per 100 mL", D(20), points=BRINE)
    assert round(100 * by_volume, 1) == D("17.7")
    assert brine(D("0.20"), water=D(1000)).solute == 250
    assert round(volume(D(1000), density_at(BRINE, D("0.20"))), 1) == D("871.2")
    assert mass(D(500), density_at(BRINE, D("0.20"))) == D("573.9")


def test_a_hydrometer_reads_the_strength_of_the_handbook():
    """Poradnik fizykochemiczny: 1147.8 kg/m3 at 20 degC is 20 %."""
    assert strength_from_density(BRINE, D("1.1478")) == D("0.20")


def test_the_two_indonesian_limits_are_one():
    """SNI 06-3532-1994: 0.1 % as NaOH; 0.14 % as KOH as a study quotes it."""
    by_alkali = {x.alkali: x.figure for x in limits() if x.standing != "recalled"}
    as_koh = as_other(by_alkali["NaOH"], "NaOH", "KOH")
    assert round(as_koh, 4) == by_alkali["KOH"] == D("0.0014")


def test_pharmacopoeial_koh_of_85_per_cent_holds_less_that_is_caustic():
    """USP-NF potassium hydroxide: 85.0 % total alkali, at most 3.5 % of carbonate."""
    assert round(100 * caustic_of(D("0.85"), D("0.035")), 3) == D("82.158")


@pytest.mark.parametrize(
    ("alkali", "spoiled", "carbonate"),
    [("KOH", "0.254972", "0.314037"), ("NaOH", "0.181767", "0.240833")],
)
def test_carbonate_from_air_counts_as_the_alkali_that_was_spoiled(
    alkali, spoiled, carbonate
):
    """2 KOH + CO2 -> K2CO3 + H2O, first principles: what 0.1 g of CO2 takes, makes."""
    left = caustic_of(D("0.9"), D(carbonate), alkali)
    assert abs(D("0.9") - left - D(spoiled)) < D("1e-5")
