"""Forms ask no question in a loop, and nothing is guessed from the name of a thing."""

import ast
import re
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[2]
LOOPS = (ast.For, ast.While, ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp)
# Asks the database whatever stands before it.
ASKS = {
    "aggregate",
    "exclude",
    "exists",
    "filter",
    "first",
    "get_or_create",
    "in_bulk",
    "last",
    "prefetch_related",
    "refresh_from_db",
    "select_related",
    "values_list",
}
# Asked in a loop all the same: the form and function, and why.
ASKED_ALL_THE_SAME = {
    (
        "production/pages/forms/deed.py",
        "add_fields",
    ): "once a column, kept for all rows",
    ("production/planning/forms.py", "__init__"): "only declares the boxes of a size",
    (
        "production/pages/forms/opened.py",
        "changed_between",
    ): "of a box that somebody else "
    "changed in between, and a card has three that choose a row",
}
# Safety checks that read a name because it may burn or be tasted.
GUARDS = {
    "production/record/domain/taste_tests.py",
    "production/chemistry/domain/alkali_names.py",
}
READ = {"casefold", "lower", "upper", "startswith", "endswith", "find", "partition"}
SEARCHED = {"search", "match", "fullmatch", "findall"}
FOUND = {"filter", "exclude", "get", "first"}
BY_NAME = re.compile(
    "(.*__)?name(__i?(exact|contains|startswith|endswith|regex))?", re.ASCII
)
# A name, but not of an item: the module and function, and why.
NOT_A_THING = {
    ("config/middleware.py", "only_utf_8"): "the codec of a charset",
    ("config/middleware.py", "middleware"): "the same",
}
# Whose name is that of a box, a column of a table, or the operating system.
NO_THINGS = {"box", "f", "field", "os"}


def modules(*rooms):
    for room in rooms:
        for path in sorted((HOUSE / room).rglob("*.py")):
            name = path.relative_to(HOUSE).as_posix()
            if "/migrations/" not in name and not name.startswith("config/demo/"):
                yield name, ast.parse(path.read_text())


def functions(tree):
    return [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]


def inside(loop):
    """What a loop does each time; what it goes over is asked once."""
    if isinstance(loop, ast.For):
        return loop.body
    if isinstance(loop, ast.While):
        return [loop.test, *loop.body]
    made = [loop.key, loop.value] if isinstance(loop, ast.DictComp) else [loop.elt]
    again = [one.iter for one in loop.generators[1:]]
    return [*made, *again, *(test for one in loop.generators for test in one.ifs)]


def asks(node):
    """Whether this very node asks the database something."""
    if isinstance(node, ast.Attribute) and node.attr in ("objects", "_default_manager"):
        return True
    if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
        return False
    called, bare = node.func.attr, not node.args
    if called in ("get", "count"):
        # ``facts.get("on")`` is a dict's, ``versions.get(pk=1)`` a table's.
        return bare
    return called in ASKS


def asking_functions(tree):
    """The functions of a module that ask themselves, or through one another."""
    made = functions(tree)
    found = {one.name for one in made if any(map(asks, ast.walk(one)))}
    while True:
        more = {
            one.name
            for one in made
            if any(called(node) in found for node in ast.walk(one))
        }
        if more <= found:
            return found
        found |= more


def called(node):
    """The function or own method that a node calls; None where it calls none."""
    if not isinstance(node, ast.Call):
        return None
    if isinstance(node.func, ast.Name):
        return node.func.id
    own = isinstance(node.func, ast.Attribute) and isinstance(node.func.value, ast.Name)
    return node.func.attr if own and node.func.value.id == "self" else None


def asked_in_loops(function, through):
    """Line and words of each question that a function asks again and again."""
    for loop in ast.walk(function):
        if isinstance(loop, LOOPS):
            for part in inside(loop):
                for node in ast.walk(part):
                    if asks(node) or called(node) in through:
                        yield node.lineno, ast.unparse(node)


def asked_in_forms():
    for name, tree in modules("production", "labels", "costing", "config"):
        if "/forms" in name:
            through = asking_functions(tree)
            for function in functions(tree):
                for line, what in asked_in_loops(function, through):
                    yield name, function.name, f"line {line}: {what}"


def test_no_form_asks_the_database_in_a_loop():
    found = {one for one in asked_in_forms() if one[:2] not in ASKED_ALL_THE_SAME}
    assert found == set()


def test_what_is_let_through_is_still_there():
    assert {one[:2] for one in asked_in_forms()} >= set(ASKED_ALL_THE_SAME)
    assert {one[:2] for one in names_read()} >= set(NOT_A_THING)


@pytest.mark.parametrize(
    "body",
    [
        "for pk in pks:\n        Lot.objects.get(pk=pk)",
        "return [lots.filter(item=item) for item in items]",
        "return {item: one(item) for item in items}",
        "return [a for a in rows if a.lots.exists()]",
        "return [b for a in rows for b in a.lots.values_list('pk')]",
        "while more:\n        more = self.two()",
    ],
)
def test_a_question_in_a_loop_is_seen(body):
    held = "def one(item):\n    return item.lots.first()\ndef two(self):\n    one(1)\n"
    tree = ast.parse(f"{held}def asked(self):\n    {body}\n")
    assert list(asked_in_loops(functions(tree)[-1], asking_functions(tree)))


@pytest.mark.parametrize(
    "body",
    [
        "return [lot.pk for lot in Lot.objects.filter(pk=1)]",
        "return [facts.get(name) for name in names]",
        "return [text.count(',') for text in texts]",
    ],
)
def test_a_question_before_a_loop_is_none(body):
    tree = ast.parse(f"def asked(self):\n    {body}\n")
    assert not list(asked_in_loops(tree, asking_functions(tree)))


def guesses(node):
    """Whether this very node reads something out of the name of a thing."""
    if isinstance(node, ast.Compare):
        sides = [node.left, *node.comparators]
        return any(map(of_a_name, sides)) and any(map(words, sides))
    if not isinstance(node, ast.Call):
        return False
    called = node.func.attr if isinstance(node.func, ast.Attribute) else ""
    if called in READ and is_name(node.func.value):
        return True
    if called in SEARCHED and any(map(of_a_name, node.args)):
        return True
    by_name = [key.value for key in node.keywords if BY_NAME.fullmatch(key.arg or "")]
    asked = called in FOUND or getattr(node.func, "id", "") == "Q"
    return asked and any(map(words, by_name))


def is_name(node):
    named = isinstance(node, ast.Attribute) and node.attr == "name"
    return named and getattr(node.value, "id", "") not in NO_THINGS


def of_a_name(node):
    """A name, or what is made of it."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        return of_a_name(node.func.value)
    return is_name(node)


def words(node):
    """A literal, or several of them."""
    if isinstance(node, (ast.Tuple, ast.List, ast.Set)):
        return any(map(words, node.elts))
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def names_read():
    for name, tree in modules("production", "labels", "costing", "config"):
        if name not in GUARDS:
            for function in functions(tree):
                for node in ast.walk(function):
                    if guesses(node):
                        yield name, function.name, ast.unparse(node)


def test_nothing_is_guessed_from_the_name_of_a_thing():
    assert {one for one in names_read() if one[:2] not in NOT_A_THING} == set()


@pytest.mark.parametrize(
    "guess",
    [
        "'label' in item.name.lower()",
        "item.name == 'salt'",
        "lot.item.name in ('bottle', 'jar')",
        "self.item.name.casefold()",
        "item.name.startswith(prefix)",
        "re.search(pattern, item.name)",
        "Item.objects.filter(name__icontains='cap')",
        "Item.objects.get(name='Water')",
        "Q(item__name__iexact='brine')",
    ],
)
def test_a_guess_is_seen(guess):
    assert any(map(guesses, ast.walk(ast.parse(guess))))


@pytest.mark.parametrize(
    "fine",
    [
        "item.name in names",
        "rows.filter(name__icontains=text)",
        "item.serves_as == 'box'",
    ],
)
def test_a_name_among_names_is_no_guess(fine):
    assert not any(map(guesses, ast.walk(ast.parse(fine))))


def test_no_line_of_a_template_is_over_160_characters():
    long = [
        f"{path.relative_to(HOUSE)}:{number}"
        for path in (HOUSE / "templates").rglob("*.*")
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if len(line) > 160
    ]
    assert long == []
