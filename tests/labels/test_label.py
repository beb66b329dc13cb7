"""What stands on a label and what is missing, under each set of rules."""

from dataclasses import replace
from datetime import date

import pytest

from labels.domain.durability import Keeping
from labels.domain.facts import Address, ProductText
from labels.domain.languages import Country
from labels.reads.rules import rule_set, rule_sets
from tests.labels.test_label_facts import ATELIER, ENGLISH, FRENCH, MAKER, worded

LEEDS = Address("Hartley", ("12 Mill Lane", "Leeds LS1 4AP"), "GB", "United Kingdom")


def missing(rules, **more):
    return [one.what for one in worded(rules, **more).missing]


@pytest.mark.parametrize("rules", ["us", "eu", "uk", "ca"])
def test_a_full_card_lacks_nothing(rules):
    assert worded(rules).missing == ()


@pytest.mark.parametrize(
    ("rules", "left_out", "what"),
    [
        ("us", {"identity": ""}, "Identity"),
        ("us", {"declared": ""}, "Net contents"),
        ("us", {"declared": "giant"}, "Net contents"),
        ("us", {"maker": replace(MAKER, name="")}, "Name of the maker"),
        ("us", {"maker": replace(MAKER, lines=())}, "Place of the maker"),
        ("us", {"maker": replace(MAKER, country="")}, "Place of the maker"),
        (
            "us",
            {"maker": replace(MAKER, lines=("14 Cooper's Slip", "Marrow Point"))},
            "Place of the maker",
        ),
        ("us", {"ingredients": ()}, "Ingredient list"),
        ("eu", {"declared": ""}, "Net contents"),
        ("eu", {"answers": Address()}, "Responsible person"),
        ("eu", {"answers": LEEDS}, "Responsible person"),
        ("eu", {"answers": replace(ATELIER, lines=())}, "Responsible person"),
        ("eu", {"maker": replace(MAKER, country="")}, "Country of origin"),
        ("eu", {"languages": ()}, "Language"),
        ("eu", {"languages": ("de",)}, "Language"),
        ("eu", {"languages": ("en", "lv")}, "Language"),
        ("uk", {"answers": Address()}, "Responsible person"),
        (
            "uk",
            {"on": date(2028, 1, 1)},
            "Responsible person",
        ),
        ("eu", {"keeping": Keeping()}, "Durability"),
        ("eu", {"keeping": Keeping(months=36)}, "Durability"),
        ("eu", {"cautions": ""}, "Precautions"),
        ("eu", {"batch": ""}, "Batch number"),
        ("eu", {"identity": "Tideline", "function": ""}, "Function"),
        ("eu", {"ingredients": ()}, "Ingredient list"),
        (
            "ca",
            {
                "texts": (
                    replace(ENGLISH, identity=""),
                    replace(FRENCH, identity=""),
                )
            },
            "Identity",
        ),
        ("ca", {"contact": ""}, "Contact for reactions"),
        ("ca", {"texts": (ENGLISH,)}, "Language"),
        ("ca", {"texts": (ENGLISH, replace(FRENCH, cautions=""))}, "Language"),
        (
            "ca",
            {"texts": (ENGLISH, replace(FRENCH, directions=ENGLISH.directions))},
            "Language",
        ),
        ("ca", {"ingredients": ()}, "Ingredient list"),
    ],
)
def test_what_is_left_out_is_named_with_its_clause(rules, left_out, what):
    made = worded(rules, **left_out)
    assert [one.what for one in made.missing] == [what]
    (one,) = made.missing
    assert one.why.endswith(".")
    sources = {clause.source for clause in rule_set(rules).clauses.values()}
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
    abroad = {"maker": LEEDS}
    assert missing("us", **abroad, contact="0113 496 0000") == ["Contact for reactions"]
    assert missing("us", **abroad, contact="care@example.org") == []
    # US-CONTACT-31, US-CONTACT-32: 21 USC 364e(a), verified.
    assert missing("us", **abroad, contact="Leeds, UK") == ["Contact for reactions"]
    assert missing("us", **abroad, contact="example.com/report") == []


def test_a_maker_in_the_union_needs_no_other_person_and_no_origin():
    made = worded("eu", maker=ATELIER, answers=Address())
    assert made.missing == ()
    assert made.responsible == made.origin == ""
    states = {one.element: one.state for one in made.found}
    assert states["Country of origin"] == "not needed"


def test_what_is_imported_names_its_country():
    assert worded("eu").origin == "Made in United States"
    assert worded("eu", origin="Made in Maine, USA").origin == "Made in Maine, USA"


def test_who_distributes_in_the_us_is_called_so():
    # 21 CFR 701.12, verified: who did not make it says so.
    seller = replace(MAKER, name="Pell Goods", role="distributed_by")
    told = worded("us", answers=seller).responsible
    assert told.startswith("Distributed by Pell Goods, 14 Cooper's Slip")


def test_every_element_has_its_clause():
    for rules in rule_sets().values():
        for element in rules.elements:
            assert rules.clause(element.key).says


def test_canada_reads_each_field_in_both_languages():
    # CA-LANG-53: C.R.C., c. 869, s. 18(a), verified.
    halifax = ProductText("en", "Liquid soap", "", "For external use only")
    home = Address("Soap Co", ("1 Pier Road", "Halifax NS B3H 1A1"), "CA", "Canada")
    made = worded("ca", texts=(halifax,), maker=home)
    (lacking,) = [one for one in made.missing if one.what == "Language"]
    assert lacking.why == ("Write in French on the label card: what it is, directions.")


def test_the_uk_reads_english():
    # GB-LANG-78: SI 2013/1478 reg 5(3), verified.
    assert worded("uk").missing == ()
    assert worded("uk").heading == "Ingredients:"


def test_a_german_label_speaks_german():
    german = ProductText(
        "de", "Flüssigseife", "Für Hände und Körper", "Aufschäumen.", "Nicht ins Auge."
    )
    soon = Keeping(date(2026, 1, 16), months=24)
    made = worded("eu", languages=("de",), texts=(german,), keeping=soon)
    assert made.missing == ()
    assert made.best_before_words == "Mindestens haltbar bis Ende"
    assert made.responsible.startswith("Verantwortliche Person: Atelier Moreau")


def test_the_eu_dates_up_to_30_months_and_draws_the_jar_above():
    dated = worded("eu", keeping=Keeping(date(2026, 3, 15), months=24))
    assert dated.best_before_words == "Best used before the end of"
    assert (dated.best_before, dated.after_opening) == ("02/2028", "")
    long = Keeping(date(2026, 3, 15), months=36, opened_months=12)
    opened = worded("eu", keeping=long)
    assert (opened.best_before, opened.after_opening) == ("", "12M")


def test_a_lots_own_date_comes_before_the_card():
    kept = Keeping(date(2026, 3, 15), date(2027, 5, 31), months=36, opened_months=12)
    made = worded("eu", keeping=kept)
    assert (made.best_before, made.after_opening) == ("05/2027", "")


def test_without_a_lot_batch_and_date_are_left_to_write_in():
    made = worded("eu", batch=None, keeping=Keeping(months=24))
    assert made.to_write == {"batch", "best before"}
    assert made.batch == made.best_before == ""


def test_headings_speak_the_languages_of_the_label():
    assert worded("us").heading == "Ingredients:"
    assert worded("ca").heading == "Ingredients / Ingrédients:"
    assert worded("us").net_contents == ("8 fl oz", "(236 mL)")
    assert worded("ca").net_contents == ("236 mL",)
    assert worded("ca").second_language == "Savon liquide. Savon pour les mains"
    assert worded("ca").cautions == "Avoid the eyes. Éviter les yeux."


def test_northern_ireland_asks_for_a_person_there_or_in_the_union():
    # Official guidance of May 2023, verified: there the law of the Union stands.
    there = Country("XI", "Northern Ireland", "uk", ("en",))
    belfast = replace(LEEDS, lines=("4 Quay Road", "Belfast BT1 3LA"))
    told = {
        who.lines[1]: missing("uk", sold_in=there, answers=who)
        for who in (LEEDS, belfast, ATELIER)
    }
    assert list(told.values()) == [["Responsible person"], [], []]


@pytest.mark.parametrize(
    ("rules", "answers"),
    [
        ("uk", replace(LEEDS, lines=("12 Mill Lane", "Leeds"))),
        ("eu", replace(ATELIER, country="DE", lines=("Salzweg 3", "Emden"))),
    ],
)
def test_an_address_without_a_postal_code_of_its_country_is_none(rules, answers):
    assert missing(rules, answers=answers) == ["Responsible person"]


def test_a_text_copied_from_another_language_is_no_translation():
    german = replace(ENGLISH, language="de", identity="Tideline")
    made = worded("eu", texts=(german,), others=(ENGLISH,), languages=("de",))
    (lacking,) = made.missing
    assert lacking.what == "Language"
    assert "the German text is the same as the English one" in lacking.why
    short = replace(ENGLISH, language="de", cautions="x", function="F", directions="d")
    made = worded("eu", texts=(short,), others=(ENGLISH,), languages=("de",))
    assert "Write in German on the label card" in made.missing[-1].why
