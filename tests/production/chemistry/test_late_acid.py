"""Acid that meets finished soap: alkali first, then soap, and nothing is lost."""

from decimal import Decimal as D
from decimal import localcontext

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels.domain.declaration import Naming, parts_as_finished
from production.chemistry.domain.composition import (
    Composition,
    Substance,
    merge,
    of_acid,
    of_alkali,
    of_material,
    of_oil,
    of_water,
    react,
    superfat,
)
from production.chemistry.domain.constants import ALKALIS, EXACT, KOH, molar_mass
from production.chemistry.domain.late_acid import acidify, settle
from production.chemistry.domain.pot import Acid
from tests.production.chemistry.chemistry_cases import ACIDS, decimals

TINY = D("1e-12")
OLIVE = of_oil("olive", D(1000), D(190), D(2), D("0.01"))


def cooked(koh, naoh=None):
    """A pot of two oils; below about 203 g of potash it keeps fat."""
    soda = [of_alkali("NaOH", D(naoh), D("0.98"))] if naoh else []
    return react(
        merge(
            OLIVE,
            of_oil("coconut", D(30), D(255)),
            of_alkali("KOH", D(koh), D("0.98"), D("0.01")),
            *soda,
            of_material("salt", D(5)),
            of_water(D(500)),
        )
    ).composition


def alkali_everywhere(held):
    """Moles of hydroxide, free or bound."""
    with localcontext(EXACT):
        return sum(
            grams * (substance.alkali_bound or D(1)) / ALKALIS[substance.alkali]
            for substance, grams in held.items()
            if substance.kind in ("alkali", "soap", "acid salt")
        )


@given(decimals("0.001", 260), decimals("0.001", 20), ACIDS)
def test_an_acid_makes_and_loses_nothing(koh, naoh, acid):
    pot = cooked(koh, naoh)
    late = acidify(pot, acid)
    assert abs(late.composition.total - pot.total - acid.grams) < TINY
    assert abs(alkali_everywhere(late.composition) - alkali_everywhere(pot)) < TINY
    for kind in ("glycerol", "unsaponified", "carbonate", "material"):
        assert abs(late.composition.of_kind(kind) - pot.of_kind(kind)) < TINY
    assert late.haze == (late.acid_freed > 0) == (late.soap_lost > 0)
    assert not (late.haze and late.composition.of_kind("alkali"))
    assert not (late.composition.of_kind("acid") and late.composition.of_kind("soap"))


@given(decimals(200, 260), ACIDS)
def test_free_alkali_goes_first(koh, acid):
    pot = cooked(koh)
    late = acidify(pot, acid)
    if late.composition.of_kind("alkali"):
        assert (late.soap_lost, late.acid_freed, late.haze) == (0, 0, False)
        assert late.remarks == ()


def test_a_gram_of_citric_acid_frees_4_41_g_of_oleic_acid():
    """First principles: three moles of oleic acid to one of citric acid."""
    oleic = of_oil(
        "oleic", D(100), 1000 * KOH / molar_mass("C18H34O2"), oil_kind="acid"
    )
    with localcontext(EXACT):
        koh = 100 * KOH / molar_mass("C18H34O2")
    soap = react(
        merge(oleic, of_alkali("KOH", koh, D(1)), of_water(D(300)))
    ).composition
    late = acidify(soap, Acid("citric", D(1), D(1)))
    assert round(late.acid_freed, 4) == D("4.4107")
    lost = 3 * molar_mass("C18H33KO2") / molar_mass("C6H8O7")
    assert round(late.soap_lost, 6) == round(lost, 6)
    assert round(late.composition.of_kind("acid salt"), 6) == D("1.594780")
    assert late.haze
    assert "haze" in late.remarks[0]
    assert "4.411 g of fatty acid" in late.remarks[0]


def test_the_dose_for_a_known_excess_leaves_soap_and_acid_alone():
    excess = cooked("210")
    free = excess.of_kind("alkali")
    below = acidify(excess, Acid("citric", D("0.1"), D(1)))
    assert below.composition.of_kind("alkali") < free
    assert not below.haze


def test_acid_beyond_all_soap_is_said_to_stay():
    late = acidify(cooked("190"), Acid("citric", D(400), D(1)))
    assert late.composition.of_kind("soap") == 0
    assert late.composition.of_kind("acid") > 0
    assert "stay acid" in late.remarks[1]


def test_acid_in_water_does_nothing_but_stay():
    late = acidify(of_water(D(100)), Acid("lactic", D(10), D("0.9")))
    assert (late.composition.of_kind("acid"), late.haze, late.soap_lost) == (
        9,
        False,
        0,
    )


def test_potassium_and_sodium_soap_of_one_oil_free_one_fatty_acid():
    late = acidify(cooked("150", "30"), Acid("citric", D(10), D(1)))
    kinds = {(s.of, s.oil_kind) for s in late.composition if s.kind == "fat"}
    assert kinds == {
        ("olive", "fat"),
        ("olive", "acid"),
        ("coconut", "fat"),
        ("coconut", "acid"),
    }
    assert len([s for s in late.composition if s.kind == "fat"]) == 4


def test_a_freed_acid_takes_alkali_again_and_is_soap_as_before():
    pot, citric = cooked("190"), Acid("citric", D(10), D(1))
    potash = of_alkali("KOH", D(60), D(1))
    mended = react(merge(acidify(pot, citric).composition, potash)).composition
    at_once = react(merge(pot, of_acid("citric", D(10), D(1)), potash)).composition
    assert mended.of_kind("fat") == 0
    for kind in ("soap", "alkali", "acid salt", "water", "glycerol"):
        assert abs(mended.of_kind(kind) - at_once.of_kind(kind)) < TINY


def test_a_freed_acid_freed_twice_is_the_same_substance():
    late = acidify(cooked("190"), Acid("citric", D(10), D(1)))
    soap = react(merge(late.composition, of_alkali("KOH", D(80), D(1)))).composition
    twice = acidify(soap, Acid("citric", D(300), D(1))).composition
    acids = [s for s in twice if s.kind == "fat" and s.of == "olive"]
    assert len(acids) == 1


def test_superfat_counts_the_acid_set_free():
    pot = cooked("205")
    assert superfat(pot) < 0
    late = acidify(pot, Acid("citric", D(20), D(1)))
    assert superfat(late.composition) > 0


@given(decimals("0.001", 260), st.lists(ACIDS, max_size=2))
def test_settling_is_reacting_where_no_acid_outlasts_the_alkali(koh, acids):
    pot = merge(
        OLIVE,
        of_alkali("KOH", koh, D("0.9")),
        *(of_acid(a.kind, a.grams, a.purity) for a in acids),
    )
    assert settle(pot) == react(pot)


def test_settling_takes_the_soap_with_the_acid_left():
    pot = merge(cooked("190"), of_acid("citric", D(10), D(1)))
    settled = settle(pot)
    assert settled.composition.of_kind("acid") == 0
    assert abs(settled.composition.total - pot.total) < TINY
    late = acidify(cooked("190"), Acid("citric", D(10), D(1)))
    assert abs(settled.composition.of_kind("fat") - late.composition.of_kind("fat")) < (
        TINY
    )


def test_a_label_goes_on_naming_a_freed_acid_after_its_oil():
    late = acidify(cooked("190"), Acid("citric", D(10), D(1)))
    naming = {
        "olive": Naming(
            "Olea Europaea Fruit Oil", "Potassium Olivate", "Sodium Olivate"
        ),
        "coconut": Naming("Cocos Nucifera Oil", "Potassium Cocoate", "Sodium Cocoate"),
        "salt": Naming("Sodium Chloride"),
    }
    parts, _ = parts_as_finished(late.composition, naming)
    names = [part.inci for part in parts]
    assert names.count("Olea Europaea Fruit Oil") == 1
    places = [(part.inci, part.source) for part in parts]
    assert len(places) == len(set(places)), "glycerin formed from each of the two oils"


def test_nothing_to_sour_is_an_empty_pot():
    late = acidify(Composition({}), Acid("citric", D(1), D(1)))
    assert late.composition == {Substance("acid", of="citric"): D(1)}
    assert late.composition.of_kind("acid") == 1


@pytest.mark.parametrize("kind", ["citric", "citric monohydrate", "lactic", "acetic"])
def test_every_acid_of_the_trade_frees_as_many_moles_as_it_has(kind):
    acid = Acid(kind, D(5), D(1))
    late = acidify(cooked("190"), acid)
    freed = sum(
        grams * s.sv / (1000 * KOH)
        for s, grams in late.composition.items()
        if s.kind == "fat" and s.oil_kind == "acid"
    )
    assert abs(freed - acid.moles) < D("1e-12")
