"""The ingredient list: names, order, allergens; pure."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels.domain.declare_file import read_parts
from labels.domain.ingredients import Part, ingredient_list
from labels.reads.rules import rule_set, rule_sets
from labels.reads.tables import name_book
from production.quantities.domain.refusal import Refused

NAMES = name_book()
US, EU, UK, CA = (rule_set(code) for code in ("us", "eu", "uk", "ca"))
BY_KEY = {one.key: one for some in NAMES.by_name.values() for one in some}


def part(inci, percent, role="ingredient"):
    return Part(inci, Decimal(percent), role)


def listed(*parts, rules=EU, rinse_off=True):
    return ingredient_list(parts, rules, NAMES, rinse_off)


def named(*parts, **how):
    return listed(*parts, **how).ingredients


def said(*parts, **how):
    return " ".join(listed(*parts, **how).notes)


AQUA = part("Aqua", "99")


def test_every_rule_of_the_list_has_its_clause():
    asked = {
        "names",
        "default_basis",
        "one_percent",
        "free_group_includes_one_percent",
        "parfum_may_close",
        "declares_allergens",
        "rinse_off_over",
        "leave_on_over",
    }
    for rules in rule_sets().values():
        assert asked <= rules.clauses.keys()
        assert all(one.says and one.source for one in rules.clauses.values())
        assert rules.compared_on.year >= 2026


def test_an_unknown_set_of_rules_is_refused_with_those_there_are():
    assert rule_set("ca") is CA
    with pytest.raises(Refused, match="use one of us, eu, uk, ca"):
        rule_set("mars")


@pytest.mark.parametrize(
    ("typed", "us", "eu"),
    [
        ("water", "Water", "Aqua"),
        ("AQUA", "Water", "Aqua"),
        ("Fragrance", "Fragrance", "Parfum"),
        ("blue  1", "Blue 1", "CI 42090"),
        ("ci 42090", "Blue 1", "CI 42090"),
        (
            "Olea Europaea Fruit Oil",
            "Olea Europaea (Olive) Fruit Oil",
            "Olea Europaea Fruit Oil",
        ),
        (
            "olea europaea (olive) fruit oil",
            "Olea Europaea (Olive) Fruit Oil",
            "Olea Europaea Fruit Oil",
        ),
        ("Tallow", "Tallow", "Adeps Bovis"),
        ("potassium olivate", "Potassium Olivate", "Potassium Olivate"),
    ],
)
def test_names_go_either_way_whatever_their_capitals(typed, us, eu):
    assert NAMES.translated(typed, "us") == (us, None)
    assert NAMES.translated(typed, "eu") == (eu, None)


def test_a_name_with_two_partners_is_left_to_the_person():
    assert NAMES.translated("Red 21", "us") == ("Red 21", None)
    assert NAMES.translated("Red 21", "eu") == ("CI 45380", None)
    name, note = NAMES.translated("CI 45380", "us")
    assert name == "CI 45380"
    assert "Red 21 or Red 22" in note
    name, note = NAMES.translated("Iron Oxides", "eu")
    assert name == "Iron Oxides"
    assert "CI 77491 or CI 77492 or CI 77499" in note


def test_a_soap_name_is_the_inventorys_or_none():
    olive, avocado = BY_KEY["olive-oil"], BY_KEY["avocado-oil"]
    assert olive.potassium_soap == "Potassium Olivate"
    assert olive.sodium_soap == "Sodium Olivate"
    assert BY_KEY["canola-oil"].potassium_soap is None
    assert avocado.potassium_soap is None
    assert avocado.sodium_soap == "Sodium Avocadoate"


def test_an_unknown_name_is_kept_as_typed_with_a_note():
    made = listed(AQUA, part("Moon Dust", "1"))
    assert made.ingredients == ("Aqua", "Moon Dust")
    assert "Moon Dust is not in our table: check the inventory." in made.notes


def test_what_is_given_twice_is_summed_and_printed_once():
    parts = part("Water", "30"), part("Glycerin", "40"), part("Aqua", "30")
    assert named(*parts) == ("Aqua", "Glycerin")
    unknown = part("Moon Dust", "30"), part("Glycerin", "40"), part("moon dust", "30")
    assert named(*unknown) == ("Moon Dust", "Glycerin")


def test_iron_oxides_share_one_us_name():
    parts = (
        part("Aqua", "99.8"),
        part("CI 77491", "0.1", "colourant"),
        part("CI 77499", "0.1", "colourant"),
    )
    assert named(*parts, rules=US) == ("Water", "Iron Oxides")
    assert named(*parts, rules=EU) == ("Aqua", "CI 77491", "CI 77499")


def test_ties_go_by_name():
    parts = part("Sorbitol", "50"), part("Glycerin", "50")
    assert named(*parts) == ("Glycerin", "Sorbitol")


def test_colourants_come_last_however_heavy():
    parts = (
        part("CI 77891", "3", "colourant"),
        part("Aqua", "96.5"),
        part("Sodium Chloride", "0.5"),
    )
    assert named(*parts) == ("Aqua", "Sodium Chloride", "CI 77891")


def test_a_colourant_that_is_an_ingredient_too_stands_by_its_weight():
    parts = (
        part("CI 77891", "1", "colourant"),
        part("CI 77891", "2"),
        part("Aqua", "96.5"),
        part("Sodium Chloride", "0.5"),
    )
    assert named(*parts) == ("Aqua", "CI 77891", "Sodium Chloride")


def test_parfum_closes_the_canadian_list_and_may_stand_by_weight():
    parts = (
        part("Aqua", "97.7"),
        part("Fragrance", "2", "fragrance"),
        part("Sodium Chloride", "0.25"),
        part("CI 42090", "0.05", "colourant"),
    )
    made = listed(*parts, rules=CA)
    assert made.ingredients == ("Aqua", "Sodium Chloride", "CI 42090", "Parfum")
    assert any("at its place by weight it is lawful too" in note for note in made.notes)
    assert named(*parts, rules=EU)[1] == "Parfum"


def test_the_notes_name_the_free_group():
    parts = part("Aqua", "98.7"), part("Sodium Chloride", "0.3"), part("Glycerin", "1")
    assert "At or below 1 %, in any order among themselves: Glycerin, Sodium" in said(
        *parts, rules=US
    )
    assert "Below 1 %, in any order among themselves: Sodium Chloride (" in said(
        *parts, rules=EU
    )


FRAGRANT = part("Aqua", "99"), part("Parfum", "1", "fragrance")


@pytest.mark.parametrize("rules", [EU, CA])
def test_an_allergen_is_named_only_when_it_exceeds_the_threshold(rules):
    at, above = (
        part("Coumarin", "0.01", "allergen"),
        part("Linalool", "0.02", "allergen"),
    )
    made = listed(*FRAGRANT, at, above, rules=rules)
    assert "Linalool" in made.ingredients
    assert "Coumarin" not in made.ingredients
    [told] = [note for note in made.notes if note.startswith("Coumarin is not named")]
    assert "just at 0.01\N{NO-BREAK SPACE}%, which it must exceed" in told
    assert "Coumarin" in named(*FRAGRANT, at, rules=rules, rinse_off=False)


def test_the_us_list_names_no_allergen_and_says_why():
    made = listed(*FRAGRANT, part("Linalool", "0.5", "allergen"), rules=US)
    assert made.ingredients == ("Water", "Fragrance")
    assert any("no rule in force was found" in note for note in made.notes)


def test_members_are_summed_under_their_label_name_before_they_are_judged():
    made = named(
        *FRAGRANT,
        part("Geranial", "0.006", "allergen"),
        part("neral", "0.005", "allergen"),
        part("Alpha-Pinene", "0.02", "allergen"),
    )
    assert made == ("Aqua", "Parfum", "Pinene", "Citral")


def test_an_allergen_that_is_an_ingredient_too_is_printed_once():
    parts = (
        part("Aqua", "98.3"),
        part("Benzyl Alcohol", "0.9"),
        part("Parfum", "0.8", "fragrance"),
        part("Benzyl Alcohol", "0.05", "allergen"),
    )
    assert named(*parts) == ("Aqua", "Benzyl Alcohol", "Parfum")


def test_an_oil_of_annex_iii_is_printed_under_its_label_name():
    parts = (
        part("Aqua", "99.5"),
        part("Lavandula Angustifolia Oil", "0.3", "fragrance"),
        part("Lavandula Hybrida Oil", "0.2", "fragrance"),
    )
    assert named(*parts) == ("Aqua", "Lavandula Oil/Extract")
    assert named(*parts, rules=US) == (
        "Water",
        "Lavandula Angustifolia (Lavender) Oil",
        "Lavandula Hybrida Oil",
    )


def test_an_allergen_above_one_percent_takes_its_place_by_weight():
    parts = (
        part("Aqua", "96.5"),
        part("Parfum", "3", "fragrance"),
        part("Sodium Chloride", "0.5"),
        part("Limonene", "2.5", "allergen"),
    )
    assert named(*parts) == ("Aqua", "Parfum", "Limonene", "Sodium Chloride")


def test_an_allergen_that_no_table_knows_is_kept_with_a_note():
    made = listed(*FRAGRANT, part("Moon Musk", "0.02", "allergen"))
    assert "Moon Musk" in made.ingredients
    assert any("check Annex III" in note for note in made.notes)


def test_a_fragrance_without_its_allergens_is_asked_about():
    assert "ask the supplier" in said(*FRAGRANT)
    assert "ask the supplier" not in said(
        *FRAGRANT, part("Linalool", "0", "allergen"), rules=CA
    )
    assert "ask the supplier" not in said(part("Aqua", "100"))


def test_a_share_of_zero_is_left_out_with_a_note():
    made = listed(part("Aqua", "100"), part("Glycerin", "0"))
    assert made.ingredients == ("Aqua",)
    assert "Glycerin is 0 %: left out." in made.notes


def test_shares_that_miss_the_whole_are_noted_but_not_their_rounding():
    assert "add up to 98.5 %" in said(part("Aqua", "98.5"))
    assert "add up to" not in said(part("Aqua", "99.99"))
    assert "add up to" not in said(part("Aqua", "60.01"), part("Glycerin", "40"))


@pytest.mark.parametrize("percent", ["-1", "NaN", "Infinity", "100.1"])
def test_a_share_that_is_none_is_refused(percent):
    with pytest.raises(Refused, match="Give Aqua a share from 0 to 100 %"):
        part("Aqua", percent)


def test_other_nonsense_is_refused_with_a_sentence():
    with pytest.raises(Refused, match=r"they add up to 100\.02 %"):
        listed(part("Aqua", "60"), part("Glycerin", "40.02"))
    with pytest.raises(Refused, match="one of the roles"):
        part("Aqua", "1", "decoration")
    with pytest.raises(Refused, match="INCI name"):
        part(" ", "1")
    for nothing in ((), (part("Aqua", "0"),), (part("Linalool", "1", "allergen"),)):
        with pytest.raises(Refused, match="at least one part"):
            listed(*nothing)


INGREDIENTS = [name.eu for name in BY_KEY.values() if "/" not in name.us[0]]
ROLES = st.sampled_from(["ingredient", "ingredient", "ingredient", "colourant"])


@st.composite
def mixtures(draw):
    """Any materials of the table whose shares make up the whole, Annex III apart."""
    plain = [name for name in INGREDIENTS if NAMES.label_name(name) is None]
    names = draw(st.lists(st.sampled_from(plain), min_size=1, max_size=12, unique=True))
    cuts = [draw(st.integers(1, 1000)) for _ in names]
    return [
        Part(name, Decimal(100 * cut) / sum(cuts), draw(ROLES))
        for name, cut in zip(names, cuts, strict=True)
    ]


@given(mixtures(), st.sampled_from([US, EU, CA]))
def test_nothing_is_lost_and_nothing_is_invented(parts, rules):
    made = ingredient_list(parts, rules, NAMES).ingredients
    given_names = {NAMES.translated(one.inci, rules.names)[0] for one in parts}
    assert set(made) == given_names
    assert len(made) == len(given_names)


@given(mixtures(), st.sampled_from([EU, CA]))
def test_shares_never_rise_but_where_a_new_group_begins(parts, rules):
    made = [
        name
        for name in ingredient_list(parts, rules, NAMES).ingredients
        if not (rules is CA and name == "Parfum")
    ]
    share = {one.inci: one.percent for one in parts}
    colour = {one.inci for one in parts if one.role == "colourant"}
    others = [name for name in made if name not in colour]
    assert made[: len(others)] == others, "colourants stand last"
    for group in (others, made[len(others) :]):
        weights = [share[name] for name in group]
        assert weights == sorted(weights, reverse=True)


@given(mixtures(), st.randoms(use_true_random=False))
def test_the_order_of_typing_changes_nothing(parts, shuffler):
    before = ingredient_list(parts, EU, NAMES).ingredients
    shuffler.shuffle(parts)
    assert ingredient_list(parts, EU, NAMES).ingredients == before


def test_a_file_gives_parts_with_the_usual_defaults():
    parts, rinse_off = read_parts(
        {
            "parts": [
                {"inci": "Aqua", "percent": "99.5"},
                {"inci": "Glycerin", "percent": Decimal("0.3")},
                {"inci": "CI 42090", "percent": 0.2, "role": "colourant"},
            ],
        }
    )
    assert parts == (
        part("Aqua", "99.5"),
        part("Glycerin", "0.3"),
        part("CI 42090", "0.2", "colourant"),
    )
    assert rinse_off is True
    one = [{"inci": "Aqua", "percent": 100}]
    assert read_parts({"parts": one, "rinse_off": False})[1] is False


@pytest.mark.parametrize(
    ("given_json", "says"),
    [
        ([], "one JSON object"),
        ({}, "at least one part"),
        ({"parts": [], "rinse_off": True}, "at least one part"),
        ({"parts": [7]}, "Part 1 must be an object"),
        ({"part": []}, "unknown key 'part'"),
        ({"parts": [{"inci": "Aqua", "share": 1}]}, "unknown key 'share'"),
        ({"parts": [{"percent": 1}]}, 'give its name as "inci"'),
        ({"parts": [{"inci": "Aqua"}]}, "Part 1, Aqua: give its share"),
        ({"parts": [{"inci": "Aqua", "percent": "much"}]}, "as a number such as"),
        ({"parts": [{"inci": "Aqua", "percent": True}]}, "as a number such as"),
        ({"parts": [{"inci": "Aqua", "percent": 1, "role": "x"}]}, "one of the roles"),
        ({"parts": [{"inci": "Aqua", "percent": 1, "role": []}]}, "one of the roles"),
        ({"parts": [{"inci": "A", "percent": 1}], "rinse_off": "no"}, "true or false"),
    ],
)
def test_a_file_of_another_shape_is_refused_by_name(given_json, says):
    with pytest.raises(Refused, match=says):
        read_parts(given_json)
