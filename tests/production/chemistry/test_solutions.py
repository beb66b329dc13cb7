"""Brine, lye and stock: exact amounts, tables kept inside, one figure read one way."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.chemistry.domain.solutions import (
    DensityPoint,
    brine,
    check_lye,
    density_at,
    lye_density,
    mass,
    solubility,
    solution,
    strength_from_density,
    strength_of,
    volume,
)
from production.quantities.domain.refusal import Refused
from tests.production.chemistry.chemistry_cases import decimals

TINY = D("1e-12")
# An invented table: two temperatures, and a strength that only the colder one has.
POINTS = (
    DensityPoint(D("0.10"), D(20), D("1.070")),
    DensityPoint(D("0.20"), D(20), D("1.150")),
    DensityPoint(D("0.26"), D(20), D("1.200")),
    DensityPoint(D("0.10"), D(30), D("1.060")),
    DensityPoint(D("0.20"), D(30), D("1.130")),
)
STRENGTHS = decimals("0.001", "0.264")
MASSES = decimals("0.001", 100000)


def test_a_kilo_of_water_takes_250_g_of_salt_for_a_brine_of_a_fifth():
    made = brine(D("0.20"), water=D(1000))
    assert (made.solute, made.water, made.total) == (250, 1000, 1250)


@given(STRENGTHS, MASSES, st.sampled_from(["total", "salt", "water"]))
def test_a_brine_has_its_strength_and_loses_nothing(strength, grams, given_as):
    made = brine(strength, **{given_as: grams})
    assert abs(made.solute + made.water - made.total) < TINY
    assert abs(made.solute - strength * made.total) < TINY
    assert grams in (made.solute, made.water, made.total)


def test_above_saturation_part_of_the_salt_stays_undissolved():
    assert brine(D("0.264"), total=D(100)).solute == D("26.4")
    with pytest.raises(Refused, match="part of the salt stays undissolved"):
        brine(D("0.265"), total=D(100))


@pytest.mark.parametrize("amounts", [{}, {"total": D(1), "solute": D(1)}])
def test_a_solution_is_made_from_one_amount(amounts):
    with pytest.raises(Refused, match="one amount"):
        solution(D("0.2"), **amounts)


def test_a_solution_without_water_is_none():
    with pytest.raises(Refused, match="no water"):
        solution(D(1), total=D(100))
    with pytest.raises(Refused, match=r"did you mean 0.2\?"):
        solution(D(20), total=D(100))


def test_density_stands_on_its_rows_and_halfway_between_them():
    assert density_at(POINTS, D("0.20")) == D("1.150")
    assert density_at(POINTS, D("0.15")) == D("1.110")
    assert density_at(POINTS, D("0.15"), D(25)) == D("1.1025")


@pytest.mark.parametrize(
    ("strength", "temperature", "words"),
    [
        ("0.05", "20", r"covers 0.1 to 0.26"),
        ("0.25", "30", r"covers 0.1 to 0.2\."),
        ("0.25", "25", r"covers 0.1 to 0.2\."),
        ("0.20", "15", "covers 20 to 30 degC"),
        ("0.20", "31", "covers 20 to 30 degC"),
    ],
)
def test_outside_its_table_a_density_is_refused(strength, temperature, words):
    with pytest.raises(Refused, match=words):
        density_at(POINTS, D(strength), D(temperature))
    with pytest.raises(Refused, match="covers nothing"):
        density_at((), D(strength), D(temperature))


@given(decimals("0.10", "0.20", 6), decimals(20, 30))
def test_a_density_leads_back_to_its_strength(strength, temperature):
    density = density_at(POINTS, strength, temperature)
    found = strength_from_density(POINTS, density, temperature)
    assert abs(found - strength) < TINY


def test_a_density_off_the_table_has_no_strength():
    with pytest.raises(Refused, match=r"a density of 1\.3 g/mL"):
        strength_from_density(POINTS, D("1.3"))


@given(decimals("0.001", 100000), decimals("0.7", "1.9"))
def test_mass_and_volume_lead_back(grams, density):
    assert abs(mass(volume(grams, density), density) - grams) < TINY


def test_twenty_per_cent_read_three_ways_is_three_strengths():
    by_water = strength_of("per 100 g water", D(20))
    by_volume = strength_of("per 100 mL", D(20), points=POINTS)
    assert strength_of("mass", D(20)) == D("0.20")
    assert round(by_water, 4) == D("0.1667")
    assert by_water < by_volume < D("0.20")
    assert abs(by_volume * mass(D(1000), density_at(POINTS, by_volume)) - 200) < TINY


@pytest.mark.parametrize(
    ("reading", "figure", "words"),
    [
        ("per 100 mL", 20, "Give the density"),
        ("percent", 20, "mass, per 100 g water, per 100 mL"),
        ("mass", 120, "the strength as a fraction"),
        ("mass", 0, "more than 0"),
    ],
)
def test_a_figure_that_says_no_strength_is_refused(reading, figure, words):
    with pytest.raises(Refused, match=words):
        strength_of(reading, D(figure))


def test_grams_in_100_ml_beyond_the_table_are_refused():
    with pytest.raises(Refused, match="40 g in 100 mL"):
        strength_of("per 100 mL", D(40), points=POINTS)


def test_solubility_stands_between_its_rows():
    assert solubility("KOH") == 112
    assert solubility("KOH", D(10)) == D("104.5")
    with pytest.raises(Refused, match="from 0 to 50 degC"):
        solubility("NaOH", D(70))
    with pytest.raises(Refused, match="KOH or NaOH"):
        solubility("LiOH")


def test_a_lye_of_soda_that_is_clear_in_the_room_is_not_in_the_cold():
    assert check_lye("NaOH", D(100), D(100)) is None
    remark = check_lye("NaOH", D(100), D(100), D(10))
    assert "196.078 g of water" in remark
    assert "crystallises" in remark
    assert check_lye("KOH", D(112), D(100)) is None


def test_a_lye_has_a_density_only_where_it_is_clear():
    table = {"NaOH": (*POINTS, DensityPoint(D("0.6"), D(20), D("1.6")))}
    assert lye_density("NaOH", D("0.20"), table) == D("1.150")
    with pytest.raises(Refused, match="stays solid"):
        lye_density("NaOH", D("0.55"), table)
    with pytest.raises(Refused, match="no density table for a lye of 'KOH'"):
        lye_density("KOH", D("0.20"), table)
