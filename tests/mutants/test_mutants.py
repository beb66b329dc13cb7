"""The tool itself: what it changes, whom it asks, and that it sees what nobody sees."""

import ast
import shutil

import pytest

from tests.mutants import trying
from tests.mutants.__main__ import sentence
from tests.mutants.covered import Covered
from tests.mutants.drawing import drawn
from tests.mutants.equivalent import EQUIVALENT
from tests.mutants.house import ROOT, Module, modules
from tests.mutants.listed import LISTED, Known, listed
from tests.mutants.operators import mutants
from tests.mutants.trying import Copy


def changed(tmp_path, text, kind):
    """What each change of this kind makes of the last line of a function."""
    file = tmp_path / "sums.py"
    file.write_text(text, encoding="utf-8")
    module = Module(file, tmp_path)
    return [
        one.changed.decode().splitlines()[-1].strip()
        for one in mutants(module)
        if one.kind == kind
    ]


@pytest.mark.parametrize(
    ("line", "kind", "into"),
    [
        ("return a < b", "compare", ["return a <= b"]),
        ("return a == b != c", "compare", ["return a != b != c", "return a == b == c"]),
        ("return a is not None", "compare", ["return a is None"]),
        ("return é - b", "reckon", ["return é + b"]),
        ("return a + b", "drop a term", ["return (a)", "return (b)"]),
        ("return 'a' + b", "reckon", []),
        ("return a and b", "and, or", ["return a or b"]),
        ("return a or b", "drop a condition", ["return (b)", "return (a)"]),
        ("return not a", "drop a not", ["return bool(a)"]),
        ("return -a", "drop a minus", ["return (a)"]),
        ("return min(a)", "another name", ["return max(a)"]),
        ("return a.first()", "another method", ["return a.last()"]),
        ('return a.order_by("-pk")', "order", ['return a.order_by("pk")']),
        ("return a.get(on__lt=b)", "lookup", []),
        ("return a.filter(on__lt=b)", "lookup", ["return a.filter(on__lte=b)"]),
        (
            "return a.filter(b=1, c=d)",
            "drop a question",
            ["return a.filter(c=d)", "return a.filter(b=1)"],
        ),
        ("if a: raise b", "drop a guard", ["if False and (a): raise b"]),
        ("return a if b else c", "the other way", ["return a if not (b) else c"]),
        ("return a[7]", "constant", ["return a[8]", "return a[(6)]"]),
        ("return True", "constant", ["return False"]),
        ('return Decimal("0.29")', "constant", ['return Decimal("0.20")']),
        ("a(b)", "drop a statement", ["pass"]),
        ("a += b", "drop a statement", ["pass"]),
        ("raise Refused(f'{a + b} g < 7')", "reckon", []),
    ],
)
def test_a_line_is_changed_as_a_tired_hand_would(tmp_path, line, kind, into):
    assert changed(tmp_path, f"def f(a, b, c, d, é):\n    {line}\n", kind) == into


def test_a_figure_of_the_module_is_changed_too(tmp_path):
    text = 'BAND = Decimal("0.005")\n'
    assert changed(tmp_path, text, "constant") == ['BAND = Decimal("0.006")']


@pytest.fixture(scope="module")
def every():
    return [one for module in modules() for one in mutants(module)]


def test_every_room_that_decides_is_drawn_from(every):
    rooms = {part for one in every for part in one.module.path[:-3].split("/")}
    assert rooms >= {"domain", "actions", "reads", "forms", "files", "audit"}
    assert not rooms & {"migrations", "tests", "views", "urls", "models"}


def test_what_is_drawn_is_python_and_of_every_kind(every):
    found = drawn(every, 200, 3)
    for one in found:
        ast.parse(one.changed)
        assert one.changed != one.module.bytes
    assert {one.kind for one in found} == {one.kind for one in every}


def test_a_seed_draws_the_same_wherever_the_files_lie(every):
    assert drawn(every, 40, 7) == drawn(reversed(every), 40, 7)
    assert drawn(every, 40, 7) != drawn(every, 40, 8)


def test_each_known_mistake_stands_in_one_place():
    found = listed(modules(all_rooms=True))
    assert len(found) == len(LISTED)
    for one in found:
        ast.parse(one.changed)


def test_a_known_mistake_that_lost_its_place_says_so(monkeypatch):
    lost = Known("lost", "month_end", "no such words", "", "")
    monkeypatch.setattr("tests.mutants.listed.LISTED", [lost])
    with pytest.raises(LookupError, match="'lost' stands in 0 places"):
        listed([])


def test_what_is_called_equivalent_is_still_drawn(every):
    assert set(EQUIVALENT) <= {one.known_as for one in every}
    assert all(EQUIVALENT.values())


SUM = """
def paid(amount, rate):
    if amount < 0:
        raise ValueError
    while amount > 100:
        amount -= 100
    return amount + rate
"""
TESTS = """
import pytest
from production.domain.sums import paid

def test_it_is_added():
    assert paid(1, 0) == 1
    assert paid(150, 0) == 50

def test_below_nothing_is_refused():
    with pytest.raises(ValueError):
        paid(-1, 0)
"""


@pytest.fixture
def tree(tmp_path):
    """A house of one function, with a test that leaves something unseen."""
    root = tmp_path / "tree"
    shutil.copytree(ROOT / "tests" / "mutants", root / "tests" / "mutants")
    (root / "tests" / "mutants" / "test_mutants.py").unlink()
    for folder in ("production/domain", "tests/production"):
        (root / folder).mkdir(parents=True)
    (root / "production/domain/sums.py").write_text(SUM, encoding="utf-8")
    (root / "tests/production/test_sums.py").write_text(TESTS, encoding="utf-8")
    alone = "[pytest]\npythonpath = .\naddopts = -p no:django\n"
    (root / "pytest.ini").write_text(alone, encoding="utf-8")
    return root


def test_it_tells_what_no_test_notices_and_leaves_the_tree_alone(tree, monkeypatch):
    monkeypatch.setattr(trying, "FREE_SECONDS", 8)
    test = "tests/production/test_sums.py"
    covered = Covered(tree / "map.json", tree)
    [module] = modules(tree)
    covered.ask({module.path}, lambda text: None)
    found = {one.key.partition(": ")[2]: one for one in mutants(module)}

    loose = found["+ -> -"]
    assert covered.tests_of(loose) == [f"{test}::test_it_is_added"]
    guard = found["amount < 0 -> False and (amount < 0)"]
    assert len(covered.tests_of(guard)) == 2
    endless = found["amount -= 100 -> pass"]

    copy = Copy(tree)
    try:
        by = {
            name: copy.tried(one, covered.tests_of(one), 1, 2)
            for name, one in (("loose", loose), ("guard", guard), ("endless", endless))
        }
    finally:
        copy.close()
    assert not by["loose"].killed
    assert by["guard"].by == f"{test}::test_below_nothing_is_refused"
    assert by["endless"].by == "it hangs"
    assert "unnoticed" in sentence(by["loose"])
    assert (tree / module.path).read_text("utf-8") == SUM
    assert not copy.folder.exists()


def test_a_test_that_leans_on_another_notices_nothing(tree):
    test = "tests/production/test_sums.py"
    leans = "\nSEEN = []\n\ndef test_a_first():\n    SEEN.append(1)\n"
    leans += "\ndef test_b_leans():\n    assert SEEN and paid(0, 0) == 0\n"
    (tree / test).write_text(f"{TESTS}{leans}", encoding="utf-8")
    [module] = modules(tree)
    [loose] = [one for one in mutants(module) if one.key.endswith("+ -> -")]
    copy = Copy(tree)
    try:
        found = copy.tried(loose, [f"{test}::test_b_leans"], 1, 1)
    finally:
        copy.close()
    assert (found.killed, found.asked) == (False, 0)


def test_only_what_changed_is_asked_again(tree):
    covered = Covered(tree / "map.json", tree)
    [module] = modules(tree)
    test = "tests/production/test_sums.py"
    assert covered.stale({module.path}) == [test]
    covered.ask({module.path}, lambda text: None)
    again = Covered(tree / "map.json", tree)
    assert again.stale({module.path}) == []
    module.file.write_text(f"\n{SUM}", encoding="utf-8")
    assert again.stale({module.path}) == [test]
    # No change is tried in it, so nobody asks who runs it.
    assert again.stale(set()) == []
    module.file.rename(module.file.with_name("moved.py"))
    assert again.stale(set()) == [test]
