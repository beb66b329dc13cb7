"""The command ``declare`` on a file: no database."""

import io
import json
import re
import shlex

import pytest
from django.core.management import CommandError, call_command

from labels.commands.declare import EXAMPLE

MIXTURE = {
    "parts": [
        {"inci": "Water", "percent": 70},
        {"inci": "Potassium Olivate", "percent": "29.1"},
        {"inci": "Parfum", "percent": 0.8, "role": "fragrance"},
        {"inci": "CI 42090", "percent": 0.1, "role": "colourant"},
        {"inci": "Linalool", "percent": 0.096, "role": "allergen"},
    ]
}


@pytest.fixture
def mixture(tmp_path):
    def write(content):
        path = tmp_path / "mixture.json"
        path.write_text(content, encoding="utf-8")
        return str(path)

    return write


def declare(*arguments):
    out = io.StringIO()
    call_command("declare", *arguments, stdout=out)
    return out.getvalue()


def test_json_holds_the_names_in_order_and_the_notes(mixture):
    path = mixture(json.dumps(MIXTURE))
    made = json.loads(declare(path, "--rules", "eu", "--json"))
    assert set(made) == {"ingredients", "notes"}
    assert made["ingredients"] == [
        "Aqua",
        "Potassium Olivate",
        "Parfum",
        "Linalool",
        "CI 42090",
    ]
    assert all(isinstance(note, str) for note in made["notes"])


@pytest.mark.parametrize(
    ("rules", "line"),
    [
        ("us", "Ingredients: Water, Potassium Olivate, Fragrance, Blue 1"),
        ("ca", "Ingredients: Aqua, Potassium Olivate, Linalool, CI 42090, Parfum"),
    ],
)
def test_without_json_the_list_stands_as_printed_with_its_notes(mixture, rules, line):
    lines = declare(mixture(json.dumps(MIXTURE)), "--rules", rules).splitlines()
    assert lines[0] == line
    assert "Notes:" in lines


def test_a_leave_on_product_is_judged_by_its_own_threshold(mixture):
    faint = [
        {"inci": "Parfum", "percent": 100, "role": "fragrance"},
        {"inci": "Coumarin", "percent": "0.005", "role": "allergen"},
    ]
    leave_on = mixture(json.dumps({"parts": faint, "rinse_off": False}))
    assert "Coumarin" in declare(leave_on, "--rules", "eu").splitlines()[0]
    rinse_off = mixture(json.dumps({"parts": faint}))
    assert "Coumarin" not in declare(rinse_off, "--rules", "eu").splitlines()[0]


def test_the_example_of_the_help_runs(monkeypatch):
    piped, command = EXAMPLE.split("echo ", 1)[1].split("\n\n")[0].rsplit(" | ", 1)
    monkeypatch.setattr("sys.stdin", io.StringIO(shlex.split(piped)[0]))
    arguments = re.fullmatch(r"python manage\.py declare (.*)", command)[1]
    assert declare(*shlex.split(arguments)).startswith(
        "Ingredients: Aqua, Potassium Olivate, Parfum, Linalool\n"
    )


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("{", "cannot be read as JSON"),
        ("{}", "at least one part"),
        ('{"parts": [{"inci": "Aqua", "percent": 101}]}', "a share from 0 to 100"),
        ('{"parts": [{"inci": "Aqua", "percent": NaN}]}', "as a number such as"),
        ('{"parts": [{"inci": "Aqua", "dose": 1}]}', "unknown key 'dose'"),
    ],
)
def test_a_file_that_will_not_do_is_refused_with_a_sentence(mixture, content, says):
    with pytest.raises(CommandError, match=says):
        declare(mixture(content), "--rules", "eu")


def test_rules_must_be_named_and_known(mixture):
    path = mixture(json.dumps(MIXTURE))
    with pytest.raises(CommandError, match="--rules"):
        declare(path)
    with pytest.raises(CommandError, match="invalid choice"):
        declare(path, "--rules", "mars")


def test_a_basis_is_for_a_lot_only(mixture):
    with pytest.raises(CommandError, match="Leave --basis out"):
        declare(mixture(json.dumps(MIXTURE)), "--rules", "eu", "--basis", "added")
