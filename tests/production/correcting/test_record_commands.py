"""``trace``, and what every command of the house has in common."""

import io
import json
import re
import subprocess
import sys
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command, get_commands
from django.core.management import load_command_class as load

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.correcting.actions.entries import reverse_movement
from production.lots.actions.lot_deeds import give
from production.models import Lot
from production.pages.commands import HouseCommand
from tests import make
from tests.once import remembered

pytestmark = pytest.mark.django_db
OURS = {"production", "costing", "labels", "config"}
COMMANDS = {
    name: load(app, name) for name, app in get_commands().items() if app in OURS
}
# An indented block of an example, up to the command that it ends in.
BLOCK = re.compile(r"((?:^  .*\n)+)", re.MULTILINE)
NEEDS_A_DEMO = {
    "statement 2026",
    "demo",
    "serve",
    "add_owner",
    "unlock",
    "backup",  # a copy waits for the transaction of the test: see test_backup
    "restore",
}


def said(*words):
    out = io.StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


@pytest.fixture
@remembered
def book():
    """Oil to paste to soap to bottles, two of them sold and one given."""
    oil, lye = make.lot("OIL-1", grams="3000"), make.koh(code="KOH-1")
    paste = make.batch(
        "cook", uses=[(oil, "2000"), (lye, "400")], makes="paste", amount="2350"
    )
    thin = make.batch(uses=[(paste, "1000")], amount="1000", code="THIN")
    caps = make.bottles("BOT-1")
    filled = make.batch(
        "filling",
        uses=[(thin, "900"), (caps, "4")],
        makes="hand wash",
        unit="piece",
        amount="4",
        code="FILL",
        net_mass="225",
    )
    make.sale(filled, "2", number="S-1")
    make.sale(filled, "1", number="S-2", customer=None, channel="Saturday stall")
    who = {"recipient": "Cy", **make.act(4)}
    give(lot=filled, amount=Decimal(1), why="gift", **who)
    return paste


def test_trace_answers_in_json(book):
    paste = book.code
    assert json.loads(said("trace", "THIN", "--json")) == {
        "back": sorted(["KOH-1", "OIL-1", paste]),
        "forward": ["FILL"],
        "customers": ["Cy", "The Tin Lantern"],
        "deliveries": [
            {
                "who": None,
                "channel": "Saturday stall",
                "on": "2026-03-02",
                "lot": "FILL",
                "amount": "1",
            },
            {
                "who": "The Tin Lantern",
                "channel": "",
                "on": "2026-03-02",
                "lot": "FILL",
                "amount": "2",
            },
            {
                "who": "Cy",
                "channel": "gift",
                "on": "2026-03-04",
                "lot": "FILL",
                "amount": "1",
            },
        ],
        "edges": sorted(
            [
                ["KOH-1", paste, "400"],
                ["OIL-1", paste, "2000"],
                [paste, "THIN", "1000"],
                ["THIN", "FILL", "900"],
            ]
        ),
    }


def test_trace_tells_a_person(book):
    lines = said("trace", "OIL-1").splitlines()
    assert lines[0] == "Lot OIL-1"
    assert lines[1].split() == ["made", "from", "nothing"]
    assert (
        lines[2].split()[2:] == ", ".join(sorted([book.code, "FILL", "THIN"])).split()
    )
    assert "The Tin Lantern" in lines[3]
    assert [line.split()[0] for line in lines[4:]] == [
        "2026-03-02",
        "2026-03-02",
        "2026-03-04",
    ]


def test_a_lot_of_packaging_leads_to_the_bottles(book):
    found = json.loads(said("trace", "BOT-1", "--json"))
    assert (found["back"], found["forward"]) == ([], ["FILL"])


def test_a_making_that_was_taken_back_leaves_the_trace(book):
    """What went in still lies in the pot, but there is no such lot any more."""
    filled = Lot.objects.get(code="FILL")
    for row in filled.movements.order_by("-pk"):
        reverse_movement(movement=row, **make.act(5, reason="never so"))
    found = json.loads(said("trace", "OIL-1", "--json"))
    assert found["forward"] == sorted([book.code, "THIN"])
    assert (found["customers"], found["deliveries"]) == ([], [])
    assert json.loads(said("trace", "FILL", "--json"))["back"] == []


def test_an_edge_of_several_uses_is_one_net_of_what_was_taken_back():
    oil = make.lot("OIL-1")
    batch = start_batch(stage="preparation", **make.act())
    for amount in (100, 200, 300):
        use = [Use(Decimal(amount), oil)]
        use_lots(batch=batch, uses=use, **make.act())
    mix = make.item("mix", kind="made")
    output = Output(Decimal(400), mix, code="MIX")
    make_lot(batch=batch, output=output, **make.act())
    second = oil.movements.filter(kind="used")[1]
    reverse_movement(movement=second, **make.act(reason="typed twice"))
    found = json.loads(said("trace", "OIL-1", "--json"))
    assert found["edges"] == [["OIL-1", "MIX", "400"]]


@pytest.mark.parametrize("command", [["trace"], ["cost"], ["declare", "--rules", "us"]])
@pytest.mark.parametrize(
    ("code", "says"),
    [("NO-SUCH", "There is no lot NO-SUCH"), ("3K7Q-5", "it is mistyped")],
)
def test_an_unknown_lot_and_a_mistyped_one_are_told_apart(command, code, says):
    with pytest.raises(CommandError, match=says):
        call_command(*command, code)


def test_a_code_is_found_however_it_is_typed():
    code = make.lot(code=" ").code
    typed = code.replace("-", " ").lower()
    assert said("trace", typed).startswith(f"Lot {code}\n")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_of_the_house_and_shows_an_example(name, capsys):
    command = COMMANDS[name]
    assert isinstance(command, HouseCommand)
    assert command.help.rstrip().endswith(".")
    with pytest.raises(SystemExit):
        command.create_parser("manage.py", name).parse_args(["--help"])
    assert command.example.rstrip() in capsys.readouterr().out
    assert re.search(rf"python manage.py (demo )?{name}\b", command.example)


def examples():
    """Each command line of the helps, with what is piped into it."""
    for name, command in COMMANDS.items():
        for block in BLOCK.findall(command.example):
            before, ours, line = block.rpartition("python manage.py ")
            if ours and not any(line.startswith(need) for need in NEEDS_A_DEMO):
                piped = before.strip().removesuffix("|").strip().removesuffix("\\")
                yield pytest.param(piped, line.split(), id=name)


@pytest.mark.parametrize(("piped", "words"), list(examples()))
def test_the_example_of_a_help_runs(piped, words, monkeypatch, capsys):
    make.owner()
    sent = subprocess.run(["bash", "-c", piped], capture_output=True, check=True).stdout
    source = io.TextIOWrapper(io.BytesIO(sent), encoding="utf-8")
    monkeypatch.setattr(sys, "stdin", source)
    call_command(*words)
    assert capsys.readouterr().out.strip()
