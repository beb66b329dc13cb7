"""The recorder of answers: twice the same, and a changed answer is seen."""

import json
import random
from unittest import mock

import pytest

from tests.answers.books import keep, live
from tests.answers.comparing import compared, told
from tests.answers.recording import record

pytestmark = pytest.mark.django_db


@pytest.fixture
def folder(tmp_path):
    """One random workshop, kept as a history file."""
    books = tmp_path / "books"
    books.mkdir()
    keep(books / "workshop-00.json", lambda: live(random.Random("7-0")))
    return books


def test_it_says_the_same_twice_and_sees_what_changed(tmp_path, folder):
    first, again, other = (tmp_path / name for name in ("first", "again", "other"))
    count = record(first, folder)
    rows = [json.loads(line) for line in first.read_text("utf-8").splitlines()]
    assert len(rows) == count
    kinds = {row["kind"] for row in rows}
    asked = {"stock", "cost", "trace", "declare", "fit", "statement", "audit"}
    asked |= {"saponify", "export_history", "page recipe", "page plan", "page day"}
    asked |= {"page batch-run", "page preview", "page compare-cost"}
    assert asked <= kinds
    # Figures, and not refusals alone.
    worked = [row for row in rows if row["kind"] == "page preview"]
    assert any("Paste:" in row["answer"] for row in worked)

    record(again, folder)
    assert first.read_bytes() == again.read_bytes()
    assert told(compared(first, again), 3) == "No answer differs."

    with mock.patch("costing.commands.stock.nine", return_value="0.5"):
        record(other, folder)
    found = compared(first, other)
    assert {one.kind for one in found} == {"stock"}
    says = told(found, 3)
    assert "1 answers differ" in says
    assert "+lots: - unit_cost: 0.5" in says
    assert "workshop-00" in says


def test_a_question_that_is_asked_no_more_is_a_difference(tmp_path):
    row = {"book": "b", "kind": "cost", "asked": "L1", "answer": {"unit_cost": "1"}}
    one, none = tmp_path / "one", tmp_path / "none"
    one.write_text(json.dumps(row) + "\n", encoding="utf-8")
    none.write_text("", encoding="utf-8")
    assert "only in the first" in told(compared(one, none), 3)
    assert "only in the second" in told(compared(none, one), 3)
