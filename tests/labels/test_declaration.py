"""From a lot's constituents, or what was added, to parts; pure."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels.domain.declaration import (
    Added,
    Naming,
    Share,
    in_the_product,
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
    found = {}
    for part in parts:
        place = part.inci, part.role
        found[place] = found.get(place, 0) + part.percent
    return found


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


def test_a_fat_without_a_listed_soap_name_is_refused_with_what_is_lawful():
    """What it bound is not listed as alkali, and no soap name is made up."""
    with pytest.raises(Refused) as refused:
        finished(
            {
                Substance("water"): "40",
                soap("canola"): "50",
                Substance("glycerol", "canola"): "5",
                Substance("fat", "canola"): "5",
            }
        )
    says = str(refused.value)
    assert "no potassium soap name for Canola Oil (canola)" in says
    assert "On the card of the fat, give its soap a name" in says
    assert "as added" in says
    assert "Hydroxide" not in says


def test_it_is_the_soap_that_is_without_a_name_not_the_fat():
    """Avocado has a sodium soap name, and no potassium one."""
    with pytest.raises(Refused, match="no potassium soap name for Persea Grat"):
        finished({soap("avocado"): "50", soap("avocado", "NaOH"): "50"})
    parts, notes = finished({soap("avocado", "NaOH"): "100"})
    assert shares(parts) == {("Sodium Avocadoate", "ingredient"): 100}
    assert notes == ()


def test_a_fat_that_met_no_alkali_needs_no_soap_name():
    parts, _ = finished({Substance("fat", "canola"): "1", Substance("water"): "9"})
    assert percent(parts, "Canola Oil") == 10


def test_the_shares_of_the_product_do_not_ask_for_the_soap_name():
    held = {
        Substance("water"): Decimal(40),
        soap("canola"): Decimal(50),
        Substance("material", "rose dream"): Decimal(10),
    }
    parts = in_the_product(
        Composition(held), NAMING, {"rose dream": {"Linalool": Decimal("0.2")}}
    )
    assert shares(parts) == {
        ("Aqua", "ingredient"): 40,
        ("Parfum", "fragrance"): 10,
        ("Linalool", "allergen"): 2,
    }


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


@pytest.mark.parametrize(("koh", "aqua"), [("0.45", "0.55"), ("0.9", "0.1")])
def test_a_bought_lye_counts_by_its_strength(koh, aqua):
    """100 g of it are hydroxide and water, not 100 g of hydroxide."""
    lye = of_alkali("KOH", Decimal(100), Decimal(koh))
    parts, _ = parts_as_added(
        [
            Added("oil", "Olea Europaea Fruit Oil", Decimal(100)),
            Added("lye", "Potassium Hydroxide", Decimal(100), strength=lye),
        ]
    )
    assert percent(parts, "Potassium Hydroxide") == Decimal(koh) * 50
    assert percent(parts, "Aqua") == Decimal(aqua) * 50
    assert {part.source for part in parts} == {"oil", "lye"}


def test_the_carbonate_of_a_lye_is_left_out_as_added_too():
    lye = of_alkali("KOH", Decimal(100), Decimal("0.4"), Decimal("0.01"))
    parts, notes = parts_as_added(
        [Added("lye", "Potassium Hydroxide", Decimal(100), strength=lye)]
    )
    assert sum(part.percent for part in parts) == 99
    assert any("impurity" in note for note in notes)


MIXED = (
    Share("Phenoxyethanol", Decimal("0.9")),
    Share("Ethylhexylglycerin", Decimal("0.1")),
)


def test_a_mixture_is_listed_under_each_of_its_names_in_either_basis():
    added, _ = parts_as_added(
        [
            Added("tap", "Aqua", Decimal(99)),
            Added("guard", None, Decimal(1), mixture=MIXED),
        ]
    )
    held = {Substance("water"): Decimal(99), Substance("material", "guard"): Decimal(1)}
    naming = {"guard": Naming(None, mixture=MIXED)}
    left, _ = parts_as_finished(Composition(held), naming)
    for parts in (added, left):
        assert percent(parts, "Phenoxyethanol") == Decimal("0.9")
        assert percent(parts, "Ethylhexylglycerin") == Decimal("0.1")


GRAMS = st.decimals("0.001", "100000", places=3)
FACTS = {"sv": Decimal(190), "acid_value": Decimal(2), "unsaponifiable": Decimal(0)}


@given(
    st.dictionaries(
        st.sampled_from(
            [
                Substance("water"),
                soap("olive"),
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
