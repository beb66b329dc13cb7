"""The label check: every element, its state and clause, and the command."""

import io
import json

import pytest
from django.core.management import CommandError, call_command

from labels.domain.check import label_check
from labels.domain.facts import Front
from labels.reads.rules import rule_set
from tests.labels.test_label_facts import drawn, worded
from tests.labels.test_label_page import bottles, card  # noqa: F401 (fixtures)


@pytest.mark.parametrize("code", ["us", "eu", "uk", "ca"])
def test_every_element_of_the_rules_is_told_once_with_its_clause(code):
    size = ("120", "180") if code == "ca" else ("60", "90")
    told = label_check(drawn(code, *size), worded(code))
    assert told["state"] == "ready"
    names = [one["element"] for one in told["elements"]]
    assert names == [element.name for element in rule_set(code).elements]
    assert {one["state"] for one in told["elements"]} <= {"present", "not needed"}
    assert all(one["clause"] for one in told["elements"])


def test_what_is_missing_makes_a_draft():
    told = label_check(drawn("eu", declared=""), worded("eu", declared=""))
    assert told["state"] == "draft"
    lacking = [one for one in told["elements"] if one["state"] == "missing"]
    assert [one["element"] for one in lacking] == ["Net contents"]


def test_what_does_not_fit_is_an_element_too():
    long = " ".join(["lather"] * 400)
    told = label_check(drawn("us", directions=long), worded("us", directions=long))
    assert told["elements"][-1]["element"] == "Room for the text"
    assert told["state"] == "draft"


def test_name_and_scent_on_the_front_are_texts_of_the_label():
    front = Front(product="Tide", scent="Cedar and salt", mark="ab" * 32)
    told = label_check(drawn("us"), worded("us", front=front))["texts"]
    assert (told["product"], told["scent"]) == ("Tide", "Cedar and salt")
    assert told["mark"] == "ab" * 32


def asked(*arguments):
    out = io.StringIO()
    call_command("label", *arguments, stdout=out)
    return out.getvalue()


@pytest.mark.django_db
def test_the_command_tells_the_check_of_a_lot(card, tmp_path):  # noqa: F811
    file = tmp_path / "label.pdf"
    told = json.loads(
        asked("FILL-1", "--rules", "eu", "--json", "--pdf", str(file), "--sold-in=IE")
    )
    assert told["state"] == "ready", told
    assert told["texts"]["batch"] == "FILL-1"
    assert told["texts"]["net_contents"] == "250 mL"
    assert file.read_bytes().startswith(b"%PDF")
    assert asked("FILL-1", "--rules", "eu", "--sold-in", "IE").startswith("Ready.")


@pytest.mark.django_db
def test_a_language_that_is_not_written_makes_a_draft(card):  # noqa: F811
    told = asked("FILL-1", "--rules", "eu", "--language", "de")
    assert told.startswith("A draft.")
    assert "Write in German on the label card: what it is for, precautions." in told


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--language", "xx"], "The rules' own words in 'xx' are not known"),
        (["--sold-in", "DE"], "label rules for the US are no law in 'DE'"),
        (["--language", "fr"], "A label in French alone is enough in no country"),
        (["--language", "en", "--sold-in", "US"], "The country tells the language"),
        (["--pdf", "/no/such/place/x.pdf"], "cannot be written"),
    ],
)
def test_what_is_not_known_is_refused(card, more, says):  # noqa: F811
    with pytest.raises(CommandError, match=says):
        asked("FILL-1", "--rules", "us", *more)


@pytest.mark.django_db
def test_half_a_character_is_refused_in_words_that_can_be_written(card):  # noqa: F811
    with pytest.raises(CommandError) as refused:
        asked("\ud800", "--rules", "us")
    str(refused.value).encode()
