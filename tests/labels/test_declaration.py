"""From a lot's constituents, or what was added, to parts; pure."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels.domain.declaration import (
    Added,
    Naming,
    parts_as_added,
    parts_as_finished,
)
from production.chemistry.domain.composition import (
    Composition,
    Substance,
    merge,
    of_acid,
    of_alkali,
    of_oil,
    of_water,
    react,
)
from production.chemistry.domain.constants import KOH, WATER
from production.quantities.domain.refusal import Refused

NAMING = {
    "olive": Naming("Olea Europaea Fruit Oil", "Potassium Olivate", "Sodium Olivate"),
    "canola": Naming("Canola Oil"),
    "avocado": Naming("Persea Gratissima Oil", None, "Sodium Avocadoate"),
    "glycerin": Naming("Glycerin"),
    "rose dream": Naming("Parfum", role="fragrance"),
    "blue": Naming("CI 42090", role="colourant"),
    "nameless": Naming(None),
}
BOUND = Decimal("0.18")


def soap(of, alkali="KOH", **facts):
    return Substance("soap", of, alkali, alkali_bound=BOUND, **facts)


def finished(amounts, **how):
    grams = {substance: Decimal(amount) for substance, amount in amounts.items()}
    return parts_as_finished(Composition(grams), NAMING, **how)


def shares(parts):
    return {(part.inci, part.role): part.percent for part in parts}


def percent(parts, inci):
    return sum((part.percent for part in parts if part.inci == inci), Decimal(0))


def test_each_constituent_goes_by_its_own_name():
    parts, notes = finished(
        {
            Substance("water"): "50",
            soap("olive"): "30",
            soap("olive", "NaOH"): "2",
            Substance("glycerol", "olive"): "3",
            Substance("material", "glycerin"): "5",
            Substance("fat", "olive"): "2",
            Substance("unsaponified", "olive"): "1",
            Substance("alkali", alkali="KOH"): "1",
            Substance("alkali", alkali="NaOH"): "0.5",
            Substance("acid salt", "citric", "KOH"): "2",
            Substance("acid salt", "lactic", "NaOH"): "0.5",
            Substance("acid salt", "acetic", "KOH"): "1",
            Substance("material", "rose dream"): "1.5",
            Substance("material", "blue"): "0.5",
        }
    )
    assert shares(parts) == {
        ("Aqua", "ingredient"): 50,
        ("Potassium Olivate", "ingredient"): 30,
        ("Sodium Olivate", "ingredient"): 2,
        ("Glycerin", "ingredient"): 8,
        ("Olea Europaea Fruit Oil", "ingredient"): 3,
        ("Potassium Hydroxide", "ingredient"): 1,
        ("Sodium Hydroxide", "ingredient"): Decimal("0.5"),
        ("Potassium Citrate", "ingredient"): 2,
        ("Sodium Lactate", "ingredient"): Decimal("0.5"),
        ("Potassium Acetate", "ingredient"): 1,
        ("Parfum", "fragrance"): Decimal("1.5"),
        ("CI 42090", "colourant"): Decimal("0.5"),
    }
    assert notes == ()


def test_carbonate_is_left_out_with_a_note_and_keeps_its_share_of_the_whole():
    parts, notes = finished(
        {
            Substance("water"): "60",
            soap("olive"): "39",
            Substance("carbonate", alkali="KOH"): "1",
        }
    )
    assert percent(parts, "Aqua") == 60
    assert sum(part.percent for part in parts) == 99
    assert "impurity" in notes[0]


def test_a_fat_without_a_listed_soap_name_is_declared_as_added():
    parts, notes = finished(
        {
            Substance("water"): "40",
            soap("canola"): "50",
            Substance("glycerol", "canola"): "5",
            Substance("unsaponified", "canola"): "1",
            Substance("fat", "canola"): "4",
        }
    )
    assert shares(parts) == {
        ("Aqua", "ingredient"): 40,
        ("Canola Oil", "ingredient"): 50 + 5 + 1 + 4 - 9,
        ("Potassium Hydroxide", "ingredient"): 9,
    }
    assert len(notes) == 1
    assert "no potassium soap name for Canola Oil" in notes[0]
    assert "Choose what is allowed" in notes[0]


def test_one_missing_soap_name_takes_the_whole_fat_back():
    parts, notes = finished(
        {soap("avocado"): "50", soap("avocado", "NaOH"): "50"},
    )
    assert shares(parts) == {
        ("Persea Gratissima Oil", "ingredient"): 82,
        ("Potassium Hydroxide", "ingredient"): 9,
        ("Sodium Hydroxide", "ingredient"): 9,
    }
    assert "no potassium soap name" in notes[0]
    parts, notes = finished({soap("avocado", "NaOH"): "100"})
    assert shares(parts) == {("Sodium Avocadoate", "ingredient"): 100}
    assert notes == ()


def test_the_water_that_free_acids_gave_off_goes_back_too():
    acid = {"sv": Decimal(200), "oil_kind": "acid", "unsaponifiable": Decimal(0)}
    parts, _ = finished({Substance("water"): "50", soap("canola", **acid): "50"})
    formed = Decimal(9) / KOH * WATER
    assert abs(percent(parts, "Aqua") - (50 - formed)) < Decimal("1e-20")
    assert abs(percent(parts, "Canola Oil") - (50 - 9 + formed)) < Decimal("1e-20")


def test_a_cook_without_a_soap_name_reads_as_it_was_weighed_in():
    pot = merge(
        of_oil("canola", Decimal(700), Decimal(190), Decimal(2), Decimal("0.01")),
        of_alkali("KOH", Decimal(120), Decimal(1)),
        of_water(Decimal(180)),
    )
    parts, _ = parts_as_finished(react(pot).composition, NAMING)
    for inci, weighed in {
        "Canola Oil": 70,
        "Potassium Hydroxide": 12,
        "Aqua": 18,
    }.items():
        assert abs(percent(parts, inci) - weighed) < Decimal("1e-20")


def test_a_neutralised_cook_names_soap_glycerin_and_citrate():
    pot = merge(
        of_oil("olive", Decimal(700), Decimal(190)),
        of_alkali("KOH", Decimal(150), Decimal("0.9"), Decimal("0.01")),
        of_acid("citric monohydrate", Decimal(10), Decimal(1)),
        of_water(Decimal(400)),
    )
    parts, notes = parts_as_finished(react(pot).composition, NAMING)
    assert {part.inci for part in parts} == {
        "Aqua",
        "Potassium Olivate",
        "Glycerin",
        "Olea Europaea Fruit Oil",
        "Potassium Citrate",
    }
    assert len(notes) == 1
    assert "carbonate" in notes[0]


def test_the_allergens_of_a_fragrance_are_shares_of_the_product():
    parts, _ = finished(
        {Substance("water"): "99.2", Substance("material", "rose dream"): "0.8"},
        allergens={"rose dream": {"Linalool": Decimal("0.12")}},
    )
    assert shares(parts)["Linalool", "allergen"] == Decimal("0.096")
    assert shares(parts)["Parfum", "fragrance"] == Decimal("0.8")


@pytest.mark.parametrize("share", ["1.2", "-0.1", "NaN"])
def test_allergens_that_are_no_fractions_are_refused(share):
    with pytest.raises(Refused, match="Give Linalool in rose dream as a fraction"):
        finished(
            {Substance("material", "rose dream"): "1"},
            allergens={"rose dream": {"Linalool": Decimal(share)}},
        )


@pytest.mark.parametrize(
    ("substance", "says"),
    [
        (Substance("material", "nameless"), "Give nameless its INCI name"),
        (Substance("material", "unheard of"), "Give unheard of its INCI name"),
        (soap("unheard of"), "Give unheard of its INCI name"),
        (Substance("acid salt", "blue", "KOH"), "INCI name of its potassium salt"),
        (Substance("soap", "canola", "KOH"), "how much alkali the soap of canola"),
    ],
)
def test_what_has_no_name_or_figure_is_refused_by_name(substance, says):
    with pytest.raises(Refused, match=says):
        finished({substance: "1"})


def test_nothing_is_refused():
    with pytest.raises(Refused, match="nothing to declare"):
        finished({})
    with pytest.raises(Refused, match="nothing to declare"):
        parts_as_added([])


def test_as_added_counts_what_went_in():
    parts, notes = parts_as_added(
        [
            Added("tap water", "Aqua", Decimal(600)),
            Added("olive", "Olea Europaea Fruit Oil", Decimal(200)),
            Added("olive, second lot", "Olea Europaea Fruit Oil", Decimal(100)),
            Added("potash", "Potassium Hydroxide", Decimal(60)),
            Added("rose dream", "Parfum", Decimal(40), "fragrance"),
        ],
        {"rose dream": {"Linalool": Decimal("0.1")}},
    )
    assert shares(parts) == {
        ("Aqua", "ingredient"): 60,
        ("Olea Europaea Fruit Oil", "ingredient"): 30,
        ("Potassium Hydroxide", "ingredient"): 6,
        ("Parfum", "fragrance"): 4,
        ("Linalool", "allergen"): Decimal("0.4"),
    }
    assert "boiled off" in notes[0]


def test_as_added_refuses_a_nameless_item_and_a_negative_weight():
    with pytest.raises(Refused, match="Give mystery powder its INCI name"):
        parts_as_added([Added("mystery powder", "", Decimal(1))])
    with pytest.raises(Refused, match="grams of olive"):
        parts_as_added([Added("olive", "Olea Europaea Fruit Oil", Decimal(-1))])


GRAMS = st.decimals("0.001", "100000", places=3)
FACTS = {"sv": Decimal(190), "acid_value": Decimal(2), "unsaponifiable": Decimal(0)}


@given(
    st.dictionaries(
        st.sampled_from(
            [
                Substance("water"),
                soap("olive"),
                soap("canola", **FACTS),
                soap("avocado", "NaOH", **FACTS),
                Substance("glycerol", "canola"),
                Substance("fat", "canola"),
                Substance("alkali", alkali="KOH"),
                Substance("material", "rose dream"),
            ]
        ),
        GRAMS,
        min_size=1,
    )
)
def test_the_parts_make_up_the_whole_again(amounts):
    parts, _ = parts_as_finished(Composition(amounts), NAMING)
    assert abs(sum(part.percent for part in parts) - 100) < Decimal("1e-20")
