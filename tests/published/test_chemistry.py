"""Chemistry against figures published elsewhere; each source stands with its check."""

import csv
from collections import defaultdict
from decimal import Decimal as D
from pathlib import Path

import periodictable
import pytest

from production.chemistry.domain.constants import (
    ACID_KINDS,
    ATOMIC_WEIGHTS,
    GLYCEROL,
    KOH,
    NAOH,
    SOLUBILITY_AT_20,
    WATER,
    molar_mass,
)
from production.chemistry.domain.pot import Acid, Oil, Pot
from production.chemistry.domain.saponification import saponify
from tests.production.chemistry.chemistry_cases import WORKED, balance

REFERENCE = Path(__file__).parents[2] / "fixtures" / "reference"
IODINE = 2 * ATOMIC_WEIGHTS["I"]


def rows(name):
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


OILS = {row["key"]: row for row in rows("oils.csv")}
FATTY_ACIDS = {row["key"]: row for row in rows("fatty_acids.csv")}
STANDINGS = {"verified", "secondary", "recalled", "computed"}


def typical_compositions():
    found = defaultdict(dict)
    for row in rows("oil_compositions.csv"):
        found[row["oil"]][row["acid"]] = D(row["percent_typical"])
    return found


TYPICAL = typical_compositions()
COMPOSITIONS = {
    key: acids for key, acids in TYPICAL.items() if OILS[key]["kind"] != "acid"
}

# Fatty acids sold as such; the type 50 of stearic acid is half palmitic.
ACIDS_SOLD = {
    "caprylic-acid": {"C8:0": 100},
    "capric-acid": {"C10:0": 100},
    "lauric-acid": {"C12:0": 100},
    "myristic-acid": {"C14:0": 100},
    "palmitic-acid": {"C16:0": 100},
    "stearic-acid-type-50": {"C16:0": 50, "C18:0": 50},
    "stearic-acid-purified": {"C18:0": 100},
    "oleic-acid": {"C18:1": 100},
}


def moles(composition):
    return {
        acid: percent / molar_mass(FATTY_ACIDS[acid]["formula"])
        for acid, percent in composition.items()
    }


def triglyceride(composition):
    """Mean molar mass: three acids and glycerol less three waters."""
    acids = moles(composition)
    mean = sum(composition.values()) / sum(acids.values())
    return 3 * mean + GLYCEROL - 3 * WATER


def triglyceride_sv(composition):
    return 3000 * KOH / triglyceride(composition)


def triglyceride_iv(composition):
    acids = moles(composition)
    bonds = sum(n * int(FATTY_ACIDS[a]["double_bonds"]) for a, n in acids.items())
    return 300 * bonds / sum(acids.values()) * IODINE / triglyceride(composition)


# Atomic weights: periodictable, which carries the IUPAC/CIAAW table of its release.


@pytest.mark.parametrize("element", ATOMIC_WEIGHTS)
def test_atomic_weights_are_the_published_ones(element):
    theirs = D(str(periodictable.elements.symbol(element).mass))
    assert abs(ATOMIC_WEIGHTS[element] - theirs) <= D("0.001")


@pytest.mark.parametrize(
    "formula", sorted({r["formula"] for r in FATTY_ACIDS.values()})
)
def test_molar_masses_of_fatty_acids_agree_with_periodictable(formula):
    assert abs(molar_mass(formula) - D(str(periodictable.formula(formula).mass))) < D(
        "0.02"
    )


@pytest.mark.parametrize(
    ("name", "ours"),
    [
        ("KOH", KOH),
        ("NaOH", NAOH),
        ("H2O", WATER),
        ("C3H8O3", GLYCEROL),
        ("C6H8O7", ACID_KINDS["citric"].as_sold),
        ("C6H8O7+H2O", ACID_KINDS["citric monohydrate"].as_sold),
        ("C3H6O3", ACID_KINDS["lactic"].as_sold),
        ("C2H4O2", ACID_KINDS["acetic"].as_sold),
    ],
)
def test_molar_masses_agree_with_periodictable(name, ours):
    assert abs(ours - D(str(periodictable.formula(name).mass))) < D("0.005")


@pytest.mark.parametrize("formula", ["", "koh", "K-OH", "Xx2", "C6H8O7.H2O", "2H2O"])
def test_what_is_no_formula_has_no_molar_mass(formula):
    with pytest.raises(ValueError, match="is not a formula"):
        molar_mass(formula)


def test_koh_and_naoh_stand_as_1_402746_to_1():
    """CIAAW conventional atomic weights: 56.1053 / 39.99677."""
    assert str(KOH) == "56.1053"
    assert round(NAOH, 5) == D("39.99677")
    assert round(KOH / NAOH, 6) == D("1.402746")


@pytest.mark.parametrize(
    ("acid", "sv", "iodine"),
    [
        ("C12:0", "263.40", "0.00"),
        ("C14:0", "232.75", "0.00"),
        ("C16:0", "208.48", "0.00"),
        ("C18:0", "188.80", "0.00"),
        ("C18:1", "190.09", "85.99"),
        ("C18:2", "191.40", "173.17"),
        ("C18:3", "192.72", "261.55"),
        ("C18:1-OH", "180.32", "81.57"),
    ],
)
def test_pure_triglycerides_have_their_theoretical_values(acid, sv, iodine):
    """First principles, with an independent molar-mass library: 3 x 56105.3 / M and
    100 x I2 x double bonds / M."""
    pure = {acid: D(100)}
    assert round(triglyceride_sv(pure), 2) == D(sv)
    assert round(triglyceride_iv(pure), 2) == D(iodine)
    theirs = periodictable.formula(FATTY_ACIDS[acid]["formula"]).mass
    mass = 3 * theirs + float(GLYCEROL - 3 * WATER)
    assert float(triglyceride_sv(pure)) == pytest.approx(3 * 56105.3 / mass, abs=0.02)


def test_the_names_of_the_fatty_acids_say_their_formulas():
    """C18:1 has 18 carbons and two hydrogens fewer per double bond; hydroxy acids one
    oxygen more each."""
    for key, row in FATTY_ACIDS.items():
        chain, _, hydroxy = key.removeprefix("C").partition("-")
        carbons, bonds = (int(part) for part in chain.split(":"))
        oxygens = 2 + {"": 0, "OH": 1, "(OH)2": 2}[hydroxy]
        assert row["formula"] == f"C{carbons}H{2 * (carbons - bonds)}O{oxygens}"
        assert int(row["double_bonds"]) == bonds


# Published ranges of oils and fats: the source of each stands in fixtures/reference.


def outside(value, row, name):
    low, high = row[f"{name}_low"], row[f"{name}_high"]
    return bool((low and value < D(low)) or (high and value > D(high)))


def test_the_value_computed_from_the_acids_of_each_oil_is_inside_its_range():
    computed = {key: triglyceride_sv(acids) for key, acids in COMPOSITIONS.items()}
    for key, acids in ACIDS_SOLD.items():
        parts = {acid: D(percent) for acid, percent in acids.items()}
        computed[key] = 10 * KOH * sum(moles(parts).values())
    assert len(computed) == 46
    off = {key for key, sv in computed.items() if outside(sv, OILS[key], "sv")}
    # No exceptions; babassu stands at the lower edge, 245.4 against 245 to 256.
    assert off == set()


def test_the_iodine_value_computed_from_the_acids_of_each_oil_is_inside_its_range():
    computed = {key: triglyceride_iv(acids) for key, acids in COMPOSITIONS.items()}
    assert len(computed) == 38
    off = {key for key, iv in computed.items() if outside(iv, OILS[key], "iodine")}
    assert off == set()


def test_each_oil_stands_with_its_range_its_source_and_its_standing():
    assert len(OILS) >= 55
    for key, row in OILS.items():
        assert D(row["sv_low"]) <= D(row["sv"]) <= D(row["sv_high"]), key
        assert row["source"], key
        assert row["standing"] in STANDINGS, key
        facts = Oil(
            row["name"],
            D(1),
            D(row["sv"]),
            unsaponifiable=D(row["unsaponifiable_max"] or 0),
            kind=row["kind"],
        )
        assert facts.kind in ("fat", "acid", "wax")


def test_each_composition_is_of_known_acids_and_adds_up():
    assert len(FATTY_ACIDS) >= 25
    for row in rows("oil_compositions.csv"):
        assert row["oil"] in OILS
        assert row["acid"] in FATTY_ACIDS
        assert {row["standing"], row["typical_standing"]} <= STANDINGS
        assert D(row["percent_low"]) <= D(row["percent_high"])
    for acids in COMPOSITIONS.values():
        assert sum(acids.values()) == 100


# A published soft soap: USP28-NF23, green soap: 380 g vegetable oil, 20 g oleic acid,
# 91.7 g potassium hydroxide of 85 % total alkali.


def test_the_pharmacopoeial_potassium_soap_just_saponifies_soya_or_maize_oil():
    pure = D("91.7") * D("0.85")
    assert pure == D("77.945")
    oleic = 20 * KOH / molar_mass("C18H34O2")
    assert round(oleic, 3) == D("3.973")
    sv = 1000 * (pure - oleic) / 380
    assert round(sv, 2) == D("194.66")
    for key in ("soya-bean-oil", "maize-oil"):
        assert not outside(sv, OILS[key], "sv")
    result = saponify(
        Pot(
            oils=(
                Oil("soya", D(380), sv),
                Oil(
                    "oleic acid",
                    D(20),
                    1000 * KOH / molar_mass("C18H34O2"),
                    kind="acid",
                ),
            ),
            superfat=D(0),
            koh_purity=D("0.85"),
        )
    )
    assert round(result.koh_weighed, 9) == D("91.7")


def test_carbonate_in_pharmacopoeial_koh_is_not_hydroxide():
    """USP-NF potassium hydroxide: 85.0 % total alkali, at most 3.5 % of carbonate."""
    as_koh = 2 * KOH / molar_mass("K2CO3")
    assert round(as_koh, 6) == D("0.811917")
    assert round(85 - D("3.5") * as_koh, 3) == D("82.158")


def test_carbon_dioxide_spoils_two_and_a_half_times_its_mass_of_koh():
    """2 KOH + CO2 -> K2CO3 + H2O, first principles."""
    carbon_dioxide = molar_mass("CO2")
    assert round(2 * KOH / carbon_dioxide, 5) == D("2.54972")
    assert round(molar_mass("K2CO3") / carbon_dioxide, 5) == D("3.14037")
    assert 2 * KOH + carbon_dioxide == molar_mass("K2CO3") + WATER


def test_the_two_published_limits_of_free_alkali_are_one():
    """SNI 06-3532-1994: 0.1 % as NaOH; potassium soap, Indonesian limit as quoted in
    a study: 0.14 % as KOH."""
    assert round(D("0.1") * KOH / NAOH, 2) == D("0.14")


@pytest.mark.parametrize(
    ("alkali", "in_100_g_of_water", "saturated"),
    [("KOH", 112, "52.83"), ("NaOH", 109, "52.15")],
)
def test_the_strongest_lye_at_20_degrees(alkali, in_100_g_of_water, saturated):
    """KOH: encyclopedia entry "potassium hydroxide"; NaOH: two published tables."""
    grams = SOLUBILITY_AT_20[alkali]
    assert grams == in_100_g_of_water
    assert round(100 * grams / (100 + grams), 2) == D(saturated)


def test_one_hundred_grams_of_fat_give_its_ester_value_times_0_0547_of_glycerol():
    """Textbook factor of oleochemistry: % glycerol = 0.0547 x ester value."""
    oil = Oil("fat", D(100), D(200), acid_value=D(10))
    made = saponify(Pot((oil,), D(0), koh_purity=D(1))).glycerol
    assert round(made / 190, 4) == D("0.0547")


@pytest.mark.parametrize(
    ("kind", "purity", "koh", "naoh"),
    [
        ("citric", "1", "0.876084", "0.624549"),
        ("citric monohydrate", "1", "0.800978", "0.571007"),
        ("lactic", "1", "0.622852", "0.444024"),
        ("lactic", "0.88", "0.548110", "0.390741"),
        ("acetic", "1", "0.934279", "0.666036"),
        ("acetic", "0.05", "0.046714", "0.033302"),
    ],
)
def test_a_gram_of_acid_takes_its_alkali(kind, purity, koh, naoh):
    """First principles: hydrogens x M(alkali) / M(acid); lactic acid USP 88-92 %."""
    acid = Acid(kind, D(1), D(purity))
    assert round(acid.moles * KOH, 6) == D(koh)
    assert round(acid.moles * NAOH, 6) == D(naoh)


# Our own worked examples, computed by two routes: exact decimals from the conventions,
# and mean molar masses with an independent molar-mass library.


def test_a_kilo_of_triolein_comes_out_to_the_milligram():
    sv = triglyceride_sv({"C18:1": D(100)})
    cook = Pot((Oil("triolein", D(1000), sv),), D(0), koh_purity=D(1), water=D(500))
    result = saponify(cook)
    assert round(result.koh_pure, 3) == D("190.090")
    assert round(result.soap_potassium, 3) == D("1086.082")
    assert round(result.glycerol, 3) == D("104.008")
    assert abs(balance(cook, result)) < D("1e-12")


def test_a_kilo_of_triolein_and_soda_comes_out_to_the_milligram():
    sv = triglyceride_sv({"C18:1": D(100)})
    oil = Oil("triolein", D(1000), sv)
    result = saponify(Pot((oil,), D(0), koh_share=D(0), naoh_purity=D(1)))
    assert round(result.naoh_pure, 3) == D("135.513")
    assert round(result.soap_sodium, 3) == D("1031.505")
    assert (result.koh_pure, result.soap_potassium) == (0, 0)


def test_the_whole_worked_batch_comes_out_to_four_places():
    result = saponify(WORKED)
    expected = {
        "koh_weighed": "223.4565",
        "naoh_weighed": "7.6998",
        "soap_potassium": "1012.0642",
        "soap_sodium": "50.3276",
        "glycerol": "111.6061",
        "leftover_oil": "20.0000",
        "unsaponified": "7.5460",
        "acid_salts": "12.5943",
        "carbonate": "1.1558",
        "water_formed": "2.4783",
        "water_total": "353.8622",
    }
    for name, grams in expected.items():
        assert round(getattr(result, name), 4) == D(grams), name
    assert round(result.koh_pure, 3) == D("201.111")
    assert round(result.naoh_pure, 3) == D("7.546")
    assert round(result.paste, 3) == D("1524.156")
    assert round(result.water_in_paste, 3) == D("308.862")
    assert round(result.soap_fraction, 5) == D("0.69704")
    olive = result.by_oil["olive"]
    assert round(olive.glycerol, 4) == D("60.9667")
    assert round(olive.soap_potassium, 4) == D("601.3296")
    assert round(olive.soap_sodium, 4) == D("30.0409")
    assert abs(balance(WORKED, result)) < D("1e-12")


def test_nine_tenths_by_mole_is_171_g_koh_and_13_545_g_naoh():
    oil = Oil("oil", D(1000), D(190))
    shares = {"koh_share": D("0.9"), "koh_purity": D(1), "naoh_purity": D(1)}
    result = saponify(Pot((oil,), D(0), **shares))
    assert round(result.koh_pure, 3) == D("171.000")
    assert round(result.naoh_pure, 3) == D("13.545")
