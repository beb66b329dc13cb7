"""Each line of a list says why it stands there, why so named, and from which lots."""

from decimal import Decimal

import pytest

from labels.domain.ingredients import Part, ingredient_list
from labels.domain.name_book import NOT_COMPARED
from labels.reads.rules import rule_set
from labels.reads.tables import name_book

CA, EU, US = rule_set("ca"), rule_set("eu"), rule_set("us")
NAMES = name_book()


def part(inci, percent, role="ingredient", source=""):
    return Part(inci, Decimal(percent), role, source)


PARTS = (
    part("Aqua", "60", source="TAP"),
    part("Aqua", "2", source="LYE"),
    part("Potassium Olivate", "36", source="OLI"),
    part("Parfum", "1.2", "fragrance", "SCENT"),
    part("Sodium Chloride", "0.75", source="SALT"),
    part("CI 42090", "0.05", "colourant", "BLUE"),
    part("Linalool", "0.096", "allergen", "SCENT"),
    part("Limonene", "0.009", "allergen", "SCENT"),
)


def spaced(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


def lines(rules, **how):
    made = ingredient_list(PARTS, rules, NAMES, **how)
    assert [line.name for line in made.lines] == list(made.ingredients)
    return {line.name: line for line in made.lines}


def test_a_line_adds_up_what_came_from_each_lot():
    water = lines(EU)["Aqua"]
    assert water.percent == 62
    assert water.sources == {"TAP": 60, "LYE": 2}
    assert water.lots == [("TAP", "60"), ("LYE", "2")]


def test_an_allergen_comes_from_the_lot_of_its_fragrance_and_shows_its_margin():
    line = lines(EU)["Linalool"]
    assert line.sources == {"SCENT": Decimal("0.096")}
    assert "0.096 % of the product, 0.086 % above 0.01 %" in spaced(line.place)
    assert "entry 84 of Regulation (EC) 1223/2009 Annex III" in line.naming


def test_what_is_not_named_shows_how_far_below_it_is():
    notes = ingredient_list(PARTS, EU, NAMES).notes
    [told] = [spaced(note) for note in notes if note.startswith("Limonene")]
    assert told == (
        "Limonene is not named as an allergen: 0.009 % of the product, 0.001 % below "
        "0.01 %."
    )


@pytest.mark.parametrize(
    ("rules", "name", "why"),
    [
        (US, "Water", "Above 1 %, in order of weight (21 CFR 701.3"),
        (EU, "Aqua", "1 % or more, in order of weight (Reg"),
        (EU, "Sodium Chloride", "Below 1 %, where any order is lawful"),
        (CA, "Sodium Chloride", "At or below 1 %, where any order is lawful"),
        (EU, "CI 42090", "A colourant: after all others"),
        (CA, "Parfum", "May close the list (C.R.C., c. 869, s. 21.4(3)"),
    ],
)
def test_a_line_says_why_it_stands_here_with_the_clause(rules, name, why):
    assert lines(rules)[name].place.startswith(why)


@pytest.mark.parametrize(
    ("rules", "name", "why"),
    [
        (EU, "Aqua", "European Commission, CosIng ingredient inventory"),
        (US, "Blue 1", "US name, from memory"),
        (EU, "Potassium Olivate", "a soap of Olea Europaea Fruit Oil: European Comm"),
    ],
)
def test_a_line_says_where_its_name_was_read_and_how_well(rules, name, why):
    assert lines(rules)[name].naming.startswith(why)


def test_a_name_of_the_makers_own_says_so():
    made = ingredient_list((part("Moon Dust", "100"),), EU, NAMES)
    assert made.lines[0].naming == "as it was typed; it stands in none of our tables"


def test_that_the_names_were_not_compared_with_the_new_glossary_is_said_once():
    assert ingredient_list(PARTS, EU, NAMES).notes.count(NOT_COMPARED) == 1
    assert NOT_COMPARED not in ingredient_list(PARTS, US, NAMES).notes


WEIGHED = (part("Aqua", "99"), part("Parfum", "1", "fragrance"))


@pytest.mark.parametrize(("in_product", "named"), [("0.012", True), ("0.008", False)])
def test_the_finished_product_decides_and_the_weighed_in_share_orders(
    in_product, named
):
    """8 g in 100 kg as added may be 12 g in 100 kg once water has boiled off."""
    added = (*WEIGHED, part("Linalool", "0.009", "allergen"))
    finished = (
        part("Aqua", "98.5"),
        part("Parfum", "1.5", "fragrance"),
        part("Linalool", in_product, "allergen"),
    )
    made = ingredient_list(added, EU, NAMES, finished=finished)
    assert ("Linalool" in made.ingredients) is named
    assert made.tested[0].percent == Decimal(in_product)
    if named:
        line = made.lines[-1]
        assert line.percent == Decimal("0.009")
        assert line.in_product == Decimal("0.012")
    assert made.lines[1].in_product == Decimal("1.5")


def test_an_oil_that_is_an_entry_is_tested_on_the_finished_product_too():
    """Lavender itself: 0.009 % weighed in, 0.011 % of what is left."""
    added = (part("Aqua", "99.991"), part("Lavandula Angustifolia Oil", "0.009"))
    finished = (part("Aqua", "99.989"), part("Lavandula Angustifolia Oil", "0.011"))
    made = ingredient_list(added, EU, NAMES, finished=finished)
    assert made.ingredients[-1] == "Lavandula Oil/Extract"
    assert made.lines[-1].in_product == Decimal("0.011")


def test_forty_ingredients_are_each_listed_once_in_order():
    keys = dict.fromkeys(one.eu for some in NAMES.by_name.values() for one in some)
    plain = [
        name
        for name in keys
        if NAMES.label_name(name) is None and not NAMES.is_colourant(name)
    ][:40]
    weights = {name: Decimal(40 - at) for at, name in enumerate(plain)}
    total = sum(weights.values())
    parts = [Part(name, 100 * share / total) for name, share in weights.items()]
    made = ingredient_list(reversed(parts), EU, NAMES)
    big = [name for name in plain if 100 * weights[name] / total >= 1]
    assert made.ingredients[: len(big)] == tuple(big)
    assert sorted(made.ingredients) == sorted(plain)
