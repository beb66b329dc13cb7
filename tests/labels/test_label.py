"""What stands on a label and what is missing, under each set of rules."""

from datetime import date

import pytest

from labels.domain.durability import Keeping
from labels.domain.duties import DUTIES
from labels.domain.label import CHECKS, in_the_union, label
from tests.labels.test_label_facts import facts


def missing(rules, **more):
    return [one.what for one in label(facts(rules, **more), rules).missing]


@pytest.mark.parametrize("rules", ["us", "eu", "ca"])
def test_a_full_card_lacks_nothing(rules):
    assert label(facts(rules), rules).missing == ()


@pytest.mark.parametrize(
    ("rules", "left_out", "what"),
    [
        ("us", {"identity": ""}, "Identity"),
        ("us", {"declared": ""}, "Net contents"),
        ("us", {"declared": "giant"}, "Net contents"),
        ("us", {"maker": ""}, "Name of the maker"),
        ("us", {"place": ""}, "Place of the maker"),
        (
            "us",
            {"place": "14 Cooper's Slip\nMarrow Point, Maine"},
            "Place of the maker",
        ),
        ("us", {"ingredients": ()}, "Ingredient list"),
        ("eu", {"declared": ""}, "Net contents"),
        ("eu", {"responsible": ""}, "Responsible person"),
        ("eu", {"responsible": "Leeds, UK"}, "Responsible person"),
        ("eu", {"origin": ""}, "Country of origin"),
        ("eu", {"keeping": Keeping()}, "Durability"),
        ("eu", {"keeping": Keeping(months=36)}, "Durability"),
        ("eu", {"cautions": ""}, "Precautions"),
        ("eu", {"batch": ""}, "Batch number"),
        ("eu", {"identity": "Tideline", "function": ""}, "Function"),
        ("eu", {"ingredients": ()}, "Ingredient list"),
        ("ca", {"identity": ""}, "Identity"),
        ("ca", {"contact": ""}, "Contact for reactions"),
        ("ca", {"second_language": ""}, "Second language"),
        ("ca", {"ingredients": ()}, "Ingredient list"),
    ],
)
def test_what_is_left_out_is_named_with_its_clause(rules, left_out, what):
    made = label(facts(rules, **left_out), rules)
    assert [one.what for one in made.missing] == [what]
    (one,) = made.missing
    assert one.why.endswith(".")
    sources = {clause.source for clause in DUTIES[rules]}
    assert any(one.clause.startswith(source) for source in sources)


@pytest.mark.parametrize(
    ("rules", "left_out"),
    [
        ("us", {"batch": None}),
        ("us", {"function": "", "cautions": "", "keeping": Keeping()}),
        ("us", {"contact": ""}),  # the maker's own US address is one
        ("eu", {"batch": None}),
        ("eu", {"cautions": "", "no_cautions": True}),
        ("eu", {"identity": "Liquid hand soap", "function": ""}),
        ("eu", {"keeping": Keeping(months=36, once=True)}),
        ("ca", {"batch": None, "keeping": Keeping()}),
    ],
)
def test_what_no_rule_asks_for_is_not_missed(rules, left_out):
    assert missing(rules, **left_out) == []


def test_a_foreign_maker_needs_a_contact_within_reach_of_the_us():
    abroad = {"place": "12 Mill Lane\nLeeds LS1 4AP, UK"}
    assert missing("us", **abroad, contact="0113 496 0000") == ["Contact for reactions"]
    assert missing("us", **abroad, contact="care@example.org") == []


def test_a_maker_in_the_union_needs_no_other_person_and_no_origin():
    home = {"place": "3 rue des Salines\n17000 La Rochelle, France"}
    assert missing("eu", **home, responsible="", origin="") == []


@pytest.mark.parametrize(
    ("address", "inside"),
    [
        ("Galway, Ireland", True),
        ("Belfast, Northern Ireland", False),
        ("Wien, Österreich", True),
        ("New Greeceville, Ohio", False),
        ("", False),
    ],
)
def test_an_address_in_the_union_names_one_of_its_countries(address, inside):
    assert in_the_union(address) is inside


def test_every_duty_has_its_check():
    fields = {clause.field for duties in DUTIES.values() for clause in duties}
    assert fields == {*CHECKS, "contents"}


def test_the_eu_dates_up_to_30_months_and_draws_the_jar_above():
    dated = label(facts("eu", keeping=Keeping(date(2026, 3, 15), months=24)), "eu")
    assert dated.best_before_words == "Best used before the end of"
    assert (dated.best_before, dated.after_opening) == ("02/2028", "")
    long = Keeping(date(2026, 3, 15), months=36, opened_months=12)
    opened = label(facts("eu", keeping=long), "eu")
    assert (opened.best_before, opened.after_opening) == ("", "12M")


def test_a_lots_own_date_comes_before_the_card():
    kept = Keeping(date(2026, 3, 15), date(2027, 5, 31), months=36, opened_months=12)
    made = label(facts("eu", keeping=kept), "eu")
    assert (made.best_before, made.after_opening) == ("05/2027", "")


def test_without_a_lot_batch_and_date_are_left_to_write_in():
    made = label(facts("eu", batch=None, keeping=Keeping(months=24)), "eu")
    assert made.to_write == {"batch", "best before"}
    assert made.batch == made.best_before == ""


def test_headings_speak_the_language_of_the_rules():
    assert label(facts("us"), "us").heading == "Ingredients:"
    assert label(facts("ca"), "ca").heading == "Ingredients / Ingrédients :"
    assert label(facts("us"), "us").net_contents == ("8 fl oz", "(236 mL)")
    assert label(facts("ca"), "ca").net_contents == ("236 mL",)


def test_only_the_eu_prints_the_responsible_person():
    assert "Atelier" in label(facts("eu"), "eu").responsible
    assert label(facts("us", responsible="Atelier, France"), "us").responsible == ""
