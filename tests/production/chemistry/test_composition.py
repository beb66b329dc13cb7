"""What is in a lot: it agrees with the recipe's arithmetic and loses nothing."""

from decimal import Decimal as D
from decimal import localcontext

import pytest
from hypothesis import given

from production.chemistry.domain.composition import (
    Composition,
    Substance,
    concentrate,
    evaporate,
    koh_share,
    merge,
    of_acid,
    of_alkali,
    of_material,
    of_oil,
    of_water,
    react,
    soap_content,
    superfat,
)
from production.chemistry.domain.constants import ALKALIS, EXACT
from production.chemistry.domain.saponification import saponify
from production.quantities.domain.refusal import Refused
from tests.production.chemistry.chemistry_cases import WORKED, decimals, recipes

TINY = D("1e-12")
FAT = of_oil("olive", D(1000), D(190), D(2), D("0.01"))


def poured(recipe, weighed):
    """The recipe's weighings in one pot, before anything reacts."""
    lots = [
        of_oil(o.name, o.grams, o.sv, o.acid_value, o.unsaponifiable, o.kind)
        for o in recipe.oils
    ]
    lots += [of_acid(a.kind, a.grams, a.purity) for a in recipe.acids]
    if weighed.koh_weighed:
        lots.append(
            of_alkali(
                "KOH", weighed.koh_weighed, recipe.koh_purity, recipe.koh_carbonate
            )
        )
    if weighed.naoh_weighed:
        lots.append(
            of_alkali(
                "NaOH", weighed.naoh_weighed, recipe.naoh_purity, recipe.naoh_carbonate
            )
        )
    return merge(*lots, of_water(recipe.water))


def near(one, other, off=TINY):
    """Two compositions hold the same, to far below what rounding can show."""
    with localcontext(EXACT):
        keys = {*one, *other}
        return all(abs(one.get(k, D(0)) - other.get(k, D(0))) < off for k in keys)


def some_of(composition, kind, alkali=""):
    return sum(
        (g for s, g in composition.items() if (s.kind, s.alkali) == (kind, alkali)),
        D(0),
    )


@given(recipes())
def test_a_reaction_gives_what_the_recipe_says(recipe):
    said = saponify(recipe)
    reaction = react(poured(recipe, said))
    made = reaction.composition
    for found, expected in (
        (some_of(made, "soap", "KOH"), said.soap_potassium),
        (some_of(made, "soap", "NaOH"), said.soap_sodium),
        (some_of(made, "alkali", "KOH"), said.free_koh),
        (some_of(made, "alkali", "NaOH"), said.free_naoh),
        (made.of_kind("glycerol"), said.glycerol),
        (made.of_kind("fat"), said.leftover_oil),
        (made.of_kind("unsaponified"), said.unsaponified),
        (made.of_kind("acid salt"), said.acid_salts),
        (made.of_kind("carbonate"), said.carbonate),
        (made.of_kind("water"), said.water_total),
        (reaction.superfat, recipe.superfat),
        (reaction.koh_share, recipe.koh_share),
    ):
        assert abs(found - expected) < TINY


@given(recipes())
def test_a_reaction_makes_and_loses_nothing(recipe):
    pot = poured(recipe, saponify(recipe))
    assert abs(react(pot).composition.total - pot.total) < TINY


def test_the_worked_paste_has_its_soap_content_after_evaporation():
    pot = react(poured(WORKED, saponify(WORKED))).composition
    paste = evaporate(pot, D(45))
    assert round(soap_content(paste), 5) == D("0.69704")
    assert round(paste.total, 3) == D("1524.156")


def part_of(composition, share):
    return Composition({s: g * share for s, g in composition.items()})


@given(
    first=decimals(1, 150),
    second=decimals(1, 150),
    acid=decimals("0.001", 20),
    naoh=decimals("0.001", 5),
)
def test_alkali_added_later_gives_what_all_at_once_gives(first, second, acid, naoh):
    """Both portions of one mixed lye, so that potassium's share is the same."""
    lye = merge(of_alkali("KOH", D(100), D("0.9")), of_alkali("NaOH", naoh, D("0.98")))
    lye = merge(lye, of_water(D(200)))
    oils = merge(FAT, of_oil("coconut", D(300), D(255)), of_acid("citric", acid, D(1)))
    one, two = part_of(lye, first / 150), part_of(lye, second / 150)
    later = react(merge(react(merge(oils, one)).composition, two))
    at_once = react(merge(oils, one, two))
    assert near(later.composition, at_once.composition)
    if later.superfat is not None and at_once.superfat is not None:
        assert abs(later.superfat - at_once.superfat) < TINY
        assert abs(later.koh_share - at_once.koh_share) < TINY


def test_nothing_changes_without_free_alkali():
    pot = merge(FAT, of_water(D(10)), of_acid("citric", D(5), D(1)))
    reaction = react(pot)
    assert reaction.composition == pot
    assert (reaction.superfat, reaction.koh_share) == (None, None)


def test_lye_alone_stays_lye():
    lye = merge(of_alkali("KOH", D(100), D("0.9")), of_water(D(100)))
    assert react(lye).composition == lye


def test_acids_are_neutralised_before_any_fat():
    lye = of_alkali("KOH", D(5), D(1))
    reaction = react(merge(FAT, of_acid("citric", D(10), D(1)), lye))
    assert reaction.superfat is None
    assert reaction.composition.of_kind("fat") == 1000
    assert round(reaction.composition.of_kind("acid"), 3) == D("4.293")


def test_a_known_excess_is_neutralised_by_its_citric_acid():
    """6.506 g of citric acid for 5.70 g KOH, 3 % excess on 1 kg of SV 190."""
    oil = of_oil("olive", D(1000), D(190))
    excess = react(merge(oil, of_alkali("KOH", D("195.7"), D(1))))
    assert round(excess.superfat, 9) == D("-0.03")
    mended = react(merge(excess.composition, of_acid("citric", D("6.507"), D(1))))
    assert mended.composition.of_kind("alkali") == 0
    assert 0 < mended.composition.of_kind("acid") < D("0.002")
    assert mended.superfat is None
    assert superfat(mended.composition) == 0


def test_fat_is_used_to_the_last_trace_when_there_is_alkali_enough():
    made = react(merge(FAT, of_alkali("KOH", D(250), D("0.9")))).composition
    assert made.of_kind("fat") == 0
    assert superfat(made) < 0


def test_superfat_and_share_of_a_lot_without_fat_or_soap_are_unknown():
    assert superfat(of_water(D(1))) is None
    assert koh_share(FAT) is None


def test_the_oil_behind_a_soap_is_found_again():
    made = react(merge(FAT, of_alkali("KOH", D(190), D("0.9")))).composition
    (soap,) = [s for s in made if s.kind == "soap"]
    gram = soap.facts.per_gram()
    behind = made[soap] / (gram.acyl + gram.moles * ALKALIS["KOH"])
    assert abs(behind + made.of_kind("fat") - 1000) < TINY
    assert abs(made[soap] * soap.alkali_bound - 171) < TINY


def test_glycerol_formed_names_its_oil_and_glycerol_bought_stays_a_material():
    made = merge(
        react(merge(FAT, of_alkali("KOH", D(190), D(1)))).composition,
        of_material("glycerin", D(50)),
    )
    assert Substance("glycerol", of="olive") in made
    assert made[Substance("material", of="glycerin")] == 50


def test_evaporation_takes_water_only_and_never_more_than_there_is():
    pot = merge(FAT, of_water(D(100)))
    dry = evaporate(pot, D(100))
    assert dry == FAT
    with pytest.raises(Refused, match=r"Only 100.000 g of water"):
        evaporate(pot, D("100.001"))
    with pytest.raises(Refused, match="0 or more"):
        evaporate(pot, D(-1))


@given(decimals("0.001", 5000))
def test_a_reweighing_changes_water_only(weight):
    pot = merge(FAT, of_water(D(100)))
    if weight < 1000:
        with pytest.raises(Refused, match="without any water"):
            concentrate(pot, weight)
    else:
        again = concentrate(pot, weight)
        assert (again.total, again.of_kind("fat")) == (weight, 1000)


def test_soap_content_of_nothing_is_refused():
    with pytest.raises(Refused, match="Nothing is in this lot"):
        soap_content(Composition({}))


def test_equal_substances_are_one_and_a_composition_cannot_be_changed():
    twice = merge(FAT, of_oil("olive", D(5), D("190.0"), D("2.00"), D("0.010")))
    assert list(twice.values()) == [1005]
    with pytest.raises(TypeError):
        twice[Substance("water")] = D(1)
    with pytest.raises(ValueError, match="-1 g of water"):
        Composition({Substance("water"): D(-1)})


def test_substances_stand_in_one_order_whatever_they_were_poured_in():
    lots = [
        FAT,
        of_water(D(1)),
        of_material("salt", D(1)),
        of_alkali("KOH", D(1), D(1)),
    ]
    assert list(merge(*lots)) == list(merge(*reversed(lots)))
    kinds = [s.kind for s in merge(*lots)]
    assert kinds == ["water", "fat", "alkali", "material"]


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: of_oil("olive", D(1), None), "saponification value of olive"),
        (lambda: of_alkali("KOH", D(1), None), "none is assumed"),
        (lambda: of_alkali("KOH", D(1), D(90)), r"did you mean 0.9\?"),
        (lambda: of_alkali("LiOH", D(1), D(1)), "KOH or NaOH"),
        (lambda: of_water(D(0)), "more than 0"),
        (lambda: of_material("salt", D(-1)), "more than 0"),
    ],
)
def test_a_lot_whose_facts_cannot_be_is_refused(make, words):
    with pytest.raises(Refused, match=words):
        make()
