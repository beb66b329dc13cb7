"""The arithmetic of one cook: what comes out, that it balances, what is refused."""

from dataclasses import replace
from decimal import Decimal as D

import pytest
from hypothesis import given

from production.chemistry.domain.pot import Acid, Oil, Pot
from production.chemistry.domain.saponification import saponify
from production.quantities.domain.refusal import Refused
from tests.production.chemistry.chemistry_cases import balance, recipes

OLIVE = Oil("olive", D(1000), D(190))


def recipe(**changes):
    return replace(Pot((OLIVE,), superfat=D(0), koh_purity=D(1)), **changes)


def refusal(make):
    with pytest.raises(Refused) as refused:
        make()
    return str(refused.value)


@given(recipes())
def test_what_goes_in_comes_out(cook):
    assert abs(balance(cook, saponify(cook))) < D("1e-12")


@given(recipes())
def test_the_parts_by_oil_add_up_to_the_whole(cook):
    result = saponify(cook)
    parts = result.by_oil.values()
    for part, whole in (
        ("soap_potassium", result.soap_potassium),
        ("soap_sodium", result.soap_sodium),
        ("glycerol", result.glycerol),
        ("leftover", result.leftover_oil),
        ("unsaponified", result.unsaponified),
    ):
        assert abs(sum(getattr(p, part) for p in parts) - whole) < D("1e-12")


@given(recipes())
def test_fat_left_over_and_free_alkali_never_stand_together(cook):
    result = saponify(cook)
    free = result.free_koh + result.free_naoh
    assert not (result.leftover_oil and free)
    assert (free > 0) == (cook.superfat < 0)


def test_a_wax_and_a_free_acid_form_no_glycerol():
    jojoba = Oil("jojoba", D(100), D(92), unsaponifiable=D("0.5"), kind="wax")
    oleic = Oil("oleic acid", D(100), D("198.6"), kind="acid")
    result = saponify(recipe(oils=(jojoba, oleic)))
    assert result.glycerol == 0
    assert result.by_oil["jojoba"].unsaponified == D(50)


def test_a_free_acid_is_all_acid_unless_stated_and_forms_water():
    oleic = Oil("oleic acid", D("282.468"), D("198.625"), kind="acid")
    assert oleic.facts.free_acid == D("198.625")
    formed = saponify(recipe(oils=(oleic,))).water_formed
    assert abs(formed - D("18.015")) < D("0.0001")


def test_an_acid_value_of_zero_stated_for_a_free_acid_is_remarked_on():
    oleic = Oil("oleic acid", D(20), D("198.6"), acid_value=D(0), kind="acid")
    result = saponify(recipe(oils=(oleic,)))
    assert result.water_formed == 0
    assert "oleic acid is a free acid" in result.remarks[0]


def test_free_acids_lower_the_glycerol_and_not_the_alkali():
    fresh = saponify(recipe())
    old = saponify(recipe(oils=(replace(OLIVE, acid_value=D(19)),)))
    assert old.koh_pure == fresh.koh_pure == 190
    assert abs(old.glycerol / fresh.glycerol - D("0.9")) < D("1e-30")


def test_acids_get_alkali_of_their_own_that_superfat_does_not_touch():
    acid = Acid("citric", D(10), D(1))
    for superfat in (D(0), D("0.05")):
        without = saponify(recipe(superfat=superfat))
        compensated = saponify(recipe(superfat=superfat, acids=(acid,)))
        assert round(compensated.koh_pure - without.koh_pure, 4) == D("8.7608")
        assert compensated.soap_potassium == without.soap_potassium


def test_two_oils_of_one_name_are_summed():
    result = saponify(recipe(oils=(OLIVE, replace(OLIVE, sv=D(185)))))
    assert list(result.by_oil) == ["olive"]
    assert result.by_oil["olive"].soap_potassium == result.soap_potassium


def test_without_water_only_what_depends_on_it_is_unknown():
    result = saponify(recipe())
    unknown = (result.lye_water, result.water_total, result.paste)
    assert unknown == (None, None, None)
    assert (result.water_in_paste, result.soap_fraction) == (None, None)
    assert result.koh_weighed == 190


def test_the_three_ways_to_state_the_water_agree():
    by_mass = saponify(recipe(koh_purity=D("0.9"), water=D(380)))
    strength = by_mass.koh_pure / (by_mass.koh_weighed + 380)
    ratio = 380 / by_mass.koh_weighed
    for way in ({"lye_strength": strength}, {"water_per_alkali": ratio}):
        again = saponify(recipe(koh_purity=D("0.9"), **way))
        assert abs(again.lye_water - 380) < D("1e-20")


def test_evaporation_changes_water_and_never_soap():
    wet = saponify(recipe(water=D(400)))
    dry = saponify(recipe(water=D(400), evaporated=D(45)))
    assert dry.soap_potassium == wet.soap_potassium
    assert (wet.paste - dry.paste, wet.water_in_paste - dry.water_in_paste) == (45, 45)
    assert dry.water_total == wet.water_total
    assert dry.soap_fraction > wet.soap_fraction


def test_a_lye_stronger_than_dissolves_is_remarked_on():
    assert not saponify(recipe(water=D(170))).remarks
    (remark,) = saponify(recipe(water=D(169))).remarks
    assert "needs 169.643 g of water" in remark
    assert "112 g KOH or 109 g NaOH" in remark


def test_free_alkali_is_remarked_on():
    (remark,) = saponify(recipe(superfat=D("-0.01"))).remarks
    assert "free alkali stays in the soap" in remark


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"oils": ()}, "at least one oil"),
        ({"superfat": D(5)}, r"did you mean 0.05\?"),
        ({"superfat": D(1)}, r"did you mean 0.01\?"),
        ({"superfat": D(-3)}, r"did you mean -0.03\?"),
        ({"superfat": D("NaN")}, "as a number"),
        ({"koh_purity": None}, "purity of the KOH"),
        ({"koh_purity": D(90)}, r"did you mean 0.9\?"),
        ({"koh_purity": D(0)}, "more than 0"),
        ({"koh_purity": D("0.98"), "koh_carbonate": D("0.03")}, "more than the whole"),
        ({"koh_carbonate": D(-1)}, "0 or more"),
        ({"koh_share": D("0.9")}, "purity of the NaOH"),
        ({"koh_share": D(90)}, r"did you mean 0.9\?"),
        ({"koh_share": D(-1)}, "0 or more"),
        ({"water": D(1), "lye_strength": D("0.3")}, "Keep one of water, lye_strength"),
        ({"water": D(-1)}, "0 or more"),
        ({"water": D("Infinity")}, "as a number"),
        ({"lye_strength": D(30)}, r"did you mean 0.3\?"),
        ({"lye_strength": D(0)}, "more than 0"),
        ({"water_per_alkali": D(-2)}, "0 or more"),
        ({"evaporated": D(-1)}, "0 or more"),
        ({"water": D("1e30")}, "cannot be meant"),
    ],
)
def test_a_recipe_that_cannot_be_is_refused(changes, words):
    with pytest.raises(Refused, match=words):
        recipe(**changes)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"grams": D(0)}, "grams of olive as more than 0"),
        ({"grams": D(-1)}, "more than 0"),
        ({"grams": D("NaN")}, "as a number"),
        ({"sv": None}, "saponification value of olive: it is missing"),
        ({"sv": D(0)}, "more than 0"),
        ({"sv": D("0.19")}, r"did you mean 190\?"),
        ({"sv": D(1900)}, "outside"),
        ({"sv": D(5)}, "outside"),
        ({"acid_value": D(191)}, "above its saponification value"),
        ({"acid_value": D(-1)}, "0 or more"),
        ({"unsaponifiable": D("1.5")}, r"did you mean 0.015\?"),
        ({"unsaponifiable": D("0.9")}, "nothing of olive is left"),
        ({"kind": "butter"}, "a fat, an acid or a wax"),
    ],
)
def test_an_oil_that_cannot_be_is_refused(changes, words):
    with pytest.raises(Refused, match=words):
        replace(OLIVE, **changes)


@pytest.mark.parametrize(
    ("kind", "grams", "purity", "words"),
    [
        ("malic", D(1), D(1), "citric, citric monohydrate, lactic, acetic"),
        ("citric", D(0), D(1), "more than 0"),
        ("lactic", D(1), None, "purity of the lactic acid: it is missing"),
        ("lactic", D(1), D(88), r"did you mean 0.88\?"),
    ],
)
def test_an_acid_that_cannot_be_is_refused(kind, grams, purity, words):
    with pytest.raises(Refused, match=words):
        Acid(kind, grams, purity)


def test_a_lye_stronger_than_its_alkali_is_refused():
    said = refusal(
        lambda: saponify(recipe(koh_purity=D("0.9"), lye_strength=D("0.95")))
    )
    assert "95 % is above the 90.00 %" in said


def test_more_evaporation_than_water_is_refused():
    assert saponify(recipe(water=D(400), evaporated=D(400))).water_in_paste == 0
    said = refusal(lambda: saponify(recipe(water=D(400), evaporated=D(401))))
    assert "Only 400.000 g of water were in the kettle" in said


@pytest.mark.parametrize("missing", ["koh_purity", "naoh_purity"])
def test_no_purity_is_ever_assumed(missing):
    purities = {"koh_purity": D("0.9"), "naoh_purity": D("0.99"), missing: None}
    with pytest.raises(Refused, match="none is assumed"):
        recipe(koh_share=D("0.5"), **purities)
