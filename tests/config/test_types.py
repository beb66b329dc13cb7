"""Whoever calls a deed by a name that it does not have is told by the type check."""

import inspect
import re
import subprocess
import sys
from pathlib import Path

import pytest

from config import urls
from production.record.actions.deeds import DEEDS

pytestmark = pytest.mark.any_database
HOUSE = Path(__file__).parents[2]
SIGNED = "on=date(2026, 3, 1), by=None"
# What is written, and what the type check says of it; None where it holds its peace.
CALLS = [
    (f"sell({SIGNED}, lines=[])", None),
    (f"sell({SIGNED}, lines=[], key='k', reason='r', typed='t')", None),
    (f"sell({SIGNED}, lins=[])", 'Unexpected keyword argument "lins"'),
    (f"sell({SIGNED})", 'Missing named argument "lines"'),
    (f"sell({SIGNED}, lines=7)", 'Argument "lines"'),
    ("sell(by=None, lines=[])", 'Missing named argument "on"'),
    ("sell(on='today', by=None, lines=[])", 'Argument "on"'),
    (f"sell({SIGNED}, lines=[], resaon='r')", '"resaon"'),
    (f"name_loss({SIGNED}, batch=Deed(), losses=[])", 'Argument "batch"'),
    (f"reveal_type(sell({SIGNED}, lines=[]))", "Sale"),
    # What gives no row of its own gives the deed.
    (f"reveal_type(name_loss({SIGNED}, batch=Batch(), losses=[]))", "Deed"),
]
HEAD = """\
from datetime import date
from production.batches.actions.losing import name_loss
from production.models import Batch, Deed
from production.selling.actions.sales import sell
"""
# No annotation at all, and one that says too little.
BARE = """\
def bare(one):
    return one


def loose(one: list) -> None: ...
"""


def told_of(*paths):
    """What the type check says, by the settings of this house."""
    told = subprocess.run(
        [sys.executable, "-m", "mypy", *map(str, paths)],
        cwd=HOUSE,
        capture_output=True,
        text=True,
    )
    assert told.stderr == ""
    return told.stdout


def checked(path, lines):
    """What is said of each line, a list for each."""
    path.write_text(HEAD + "\n".join(lines) + "\n")
    first = HEAD.count("\n") + 1
    says = {number: [] for number in range(first, first + len(lines))}
    # What is remembered of the same lines may name another folder.
    for number, text in re.findall(
        rf"^(?:.*/)?{path.name}:(\d+): (?:error|note): ((?!.* defined in ).*)$",
        told_of(path),
        re.M,
    ):
        says[int(number)].append(text)
    return list(says.values())


def test_a_call_fits_its_deed_or_is_told(tmp_path):
    said = checked(tmp_path / "some_calls.py", [line for line, _ in CALLS])
    for (line, expected), faults in zip(CALLS, said, strict=True):
        assert len(faults) == (0 if expected is None else 1), (line, faults)
        assert expected is None or expected in faults[0], line


def test_every_deed_asks_for_its_day(tmp_path):
    """None has lost its parameters on the way through its decorator."""
    assert urls.urlpatterns, "whose views bring in every deed"
    acts = [inspect.unwrap(act) for act in DEEDS.values()]
    lines = [f"from {act.__module__} import {act.__name__}" for act in acts]
    lines += [f"{act.__name__}()" for act in acts]
    said = checked(tmp_path / "bare_calls.py", lines)[len(acts) :]
    untold = [
        act.__name__
        for act, faults in zip(acts, said, strict=True)
        if f'Missing named argument "on" for "{act.__name__}"' not in "".join(faults)
    ]
    assert acts
    assert untold == []


def test_each_room_is_held_to_its_types(tmp_path):
    """In an app as in a noun of it; a view need not be annotated."""
    asked = {"actions": 1, "reads": 1, "domain": 2, "views": 0}
    for folder in (tmp_path / "some_app", tmp_path / "some_app" / "some_noun"):
        folder.mkdir()
        (folder / "__init__.py").touch()
        for room in asked:
            (folder / f"{room}.py").write_text(BARE)
    says = told_of(tmp_path / "some_app")
    for room, faults in asked.items():
        for place in ("some_app", "some_app/some_noun"):
            assert says.count(f"{place}/{room}.py:") == faults, says
