"""``manage.py saponify``: what it reads, answers and refuses; no database."""

import io
import json
import shlex
import subprocess
import sys
from decimal import Decimal as D
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from production.chemistry.commands import EXAMPLE
from production.chemistry.domain.saponify_file import read_pot
from production.quantities.domain.refusal import Refused

WORKED = {
    "oils": [
        {
            "name": "olive",
            "grams": "600",
            "sv": "190.5",
            "acid_value": "1.0",
            "unsaponifiable": "0.010",
            "kind": "fat",
        },
        {
            "name": "coconut",
            "grams": 300,
            "sv": 255,
            "acid_value": 0.2,
            "unsaponifiable": 0.004,
            "kind": "fat",
        },
        {
            "name": "castor",
            "grams": "100",
            "sv": "181",
            "acid_value": "1.0",
            "unsaponifiable": "0.005",
            "kind": "fat",
        },
    ],
    "superfat": "0.02",
    "koh_share": "0.95",
    "koh_purity": "0.90",
    "koh_carbonate": "0.005",
    "naoh_purity": "0.98",
    "naoh_carbonate": "0.005",
    "acids": [{"kind": "citric", "grams": "8", "purity": "0.995"}],
    "water": "330",
    "evaporated": "45",
}
SHORT = {
    "oils": [{"name": "olive", "grams": "1000", "sv": "190"}],
    "superfat": "0",
    "koh_purity": "0.9",
}
KEYS = {
    *("koh_pure", "koh_weighed", "naoh_pure", "naoh_weighed", "free_koh", "free_naoh"),
    *("lye_water", "soap_potassium", "soap_sodium", "glycerol", "leftover_oil"),
    *("unsaponified", "acid_salts", "carbonate", "water_formed", "water_total"),
    *("paste", "water_in_paste", "soap_fraction", "by_oil", "assumed"),
}


@pytest.fixture
def ask(monkeypatch):
    """Put a recipe through stdin and return what the command prints."""

    def asked(recipe, *flags):
        text = recipe if isinstance(recipe, str) else json.dumps(recipe)
        monkeypatch.setattr(sys, "stdin", io.StringIO(text))
        out = io.StringIO()
        call_command("saponify", "-", *flags, stdout=out)
        return out.getvalue()

    return asked


def test_the_answer_has_exactly_its_keys_in_strings_of_six_places(ask):
    answer = json.loads(ask(WORKED, "--json"))
    assert set(answer) == KEYS
    assert answer["koh_pure"] == "201.110848"
    assert answer["water_formed"].startswith("2.4783")
    figures = {k: v for k, v in answer.items() if k not in ("by_oil", "assumed")}
    for parts in (figures, *answer["by_oil"].values()):
        for figure in parts.values():
            assert len(figure.partition(".")[2]) == 6
    assert set(answer["by_oil"]["olive"]) == {
        *("soap_potassium", "soap_sodium", "glycerol", "leftover", "unsaponified")
    }
    assert answer["assumed"] == {}


def test_every_default_taken_is_said_and_what_is_unknown_is_null(ask):
    answer = json.loads(ask(SHORT, "--json"))
    assert answer["assumed"] == {
        "koh_share": "1",
        "oils[0].kind": "fat",
        "oils[0].acid_value": "0",
        "oils[0].unsaponifiable": "0",
        "koh_carbonate": "0",
        "acids": "none",
        "evaporated": "0",
    }
    for key in ("lye_water", "water_total", "paste", "water_in_paste", "soap_fraction"):
        assert answer[key] is None
    assert answer["koh_weighed"] == "211.111111"
    assert answer["free_koh"] == answer["leftover_oil"] == "0.000000"


def test_a_free_acid_without_acid_value_is_assumed_to_be_all_acid(ask):
    oleic = {"name": "oleic acid", "grams": "20", "sv": "198.6", "kind": "acid"}
    answer = json.loads(ask(SHORT | {"oils": [oleic]}, "--json"))
    assert answer["assumed"]["oils[0].acid_value"] == "198.6"
    assert answer["glycerol"] == "0.000000"


def test_an_oil_without_a_name_gets_one(ask):
    answer = json.loads(
        ask(SHORT | {"oils": [{"grams": 1, "sv": 190, "name": None}]}, "--json")
    )
    assert answer["assumed"]["oils[0].name"] == "oil 1"
    assert list(answer["by_oil"]) == ["oil 1"]


def test_a_zero_with_a_minus_is_a_zero(ask):
    answer = json.loads(ask(SHORT | {"superfat": "-0"}, "--json"))
    assert answer["leftover_oil"] == answer["free_koh"] == "0.000000"


def test_the_table_speaks_to_the_maker_and_warns_of_the_lye(ask):
    table = ask(WORKED)
    assert "potassium hydroxide (KOH)        223.456 g" in table
    assert "soap content" in table
    assert "69.704 %" in table
    assert "Always add the alkali to the water, in portions" in table
    assert "safety data sheet" in table
    assert "goggles and gloves" in table


def test_the_table_says_what_it_assumed_and_what_to_look_at(ask):
    table = ask(SHORT | {"superfat": "-0.01"})
    assert "not known: no water given" in table
    assert "koh_share = 1" in table
    assert "free alkali stays in the soap" in table


def test_a_file_is_read_as_stdin_is(tmp_path):
    path = tmp_path / "recipe.json"
    path.write_text(json.dumps(WORKED), encoding="utf-8-sig")
    out = io.StringIO()
    call_command("saponify", str(path), "--json", stdout=out)
    assert json.loads(out.getvalue())["paste"].startswith("1524.156")


def without(*keys):
    return {key: value for key, value in WORKED.items() if key not in keys}


def oil(**changes):
    return SHORT | {"oils": [SHORT["oils"][0] | changes]}


@pytest.mark.parametrize(
    ("recipe", "words"),
    [
        ("{", "cannot be read as JSON"),
        ("[" * 100000, "cannot be read as JSON"),
        ("[]", "Write the recipe as a JSON object"),
        ('{"superfat": 0, "superfat": 1}', "Keep one 'superfat'"),
        ({}, "Add oils"),
        (SHORT | {"oils": []}, "at least one oil"),
        (SHORT | {"oils": {}}, "as a JSON list"),
        (SHORT | {"oils": ["olive"]}, r"Write oils\[0\] as a JSON object"),
        (SHORT | {"superfatt": 1}, "has no 'superfatt'"),
        (oil(SV=1), r"oils\[0\] has no 'SV'"),
        (oil(grams=None), r"Add oils\[0\].grams"),
        (oil(sv="190,5"), r"Write oils\[0\].sv as a plain number"),
        (oil(sv=True), r"Write oils\[0\].sv as a number"),
        (oil(sv="NaN"), r"Write oils\[0\].sv as a plain number"),
        (oil(kind="butter"), "a fat, an acid or a wax"),
        (oil(name=7), "as a text"),
        (without("superfat"), "Add superfat"),
        (without("koh_purity"), "purity of the KOH"),
        (without("naoh_purity"), "purity of the NaOH"),
        (WORKED | {"lye_strength": "0.3"}, "Keep one of water, lye_strength"),
        (SHORT | {"acids": [{"kind": "citric", "grams": 1}]}, r"Add acids\[0\].purity"),
        (SHORT | {"acids": [{"grams": 1, "purity": 1}]}, r"Write acids\[0\].kind"),
        (SHORT | {"koh_purity": 90}, r"did you mean 0.9\?"),
        ('{"oils": [{"grams": NaN, "sv": 1}], "superfat": 0}', "as a number"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(ask, recipe, words):
    with pytest.raises(CommandError, match=words):
        ask(recipe, "--json")


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("saponify", str(tmp_path / "none.json"))


def test_a_float_is_refused_where_decimals_were_promised():
    with pytest.raises(Refused, match="koh_share as a number"):
        read_pot(SHORT | {"koh_share": 0.5})
    recipe, _ = read_pot(SHORT | {"koh_share": D(1)})
    assert recipe.koh_share == 1


def test_the_example_in_the_help_runs(ask):
    """The words of the example, as a shell would split them."""
    line = EXAMPLE.split("Example:")[1].split("Every oil")[0]
    echo, recipe, *rest = shlex.split(line)
    assert " ".join([echo, *rest]) == "echo | python manage.py saponify - --json"
    assert json.loads(ask(recipe, "--json"))["soap_fraction"]


def test_the_help_shows_the_example_as_it_is_typed():
    manage = Path(__file__).parents[3] / "manage.py"
    shown = subprocess.run(
        [sys.executable, str(manage), "saponify", "--help"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert EXAMPLE.strip() in shown
