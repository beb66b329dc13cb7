"""The names in a form are those of the deed that it is handed to.

Forms that hand on what was typed as it was typed: the others say in ``arguments`` what
they make of it, and the tests of their pages send them.
"""

import ast
import inspect
import sys
from pathlib import Path

import pytest

from config import urls
from production.pages.forms.deed import DeedForm
from production.pages.forms.work_out import CalculateButton
from production.record.actions.deeds import DEEDS, deed
from production.stock.forms.lots import LotForm, PlacedForm

APPS = ("production", "costing", "labels", "config")
AS_TYPED = (DeedForm.arguments, LotForm.arguments, PlacedForm.arguments)
# Where the form or its class stands, and the deed behind it.
PAGES = {"write_page": 1, "signed_page": 1, "_deed": 2}
SIGNED = {
    name
    for name, one in inspect.signature(deed.run).parameters.items()
    if one.kind is one.KEYWORD_ONLY
}
# Every page of every app knows its request, and no page its day.
SAID_BY_THE_PAGE = {"by", "typed"}


def views():
    """Each function of the pages, with the names of its module."""
    assert urls.urlpatterns, "which bring in all of them"
    for name, module in list(sys.modules.items()):
        if name.split(".")[0] in APPS and ".views" in name:
            for node in ast.walk(ast.parse(Path(module.__file__).read_text())):
                if isinstance(node, ast.FunctionDef):
                    yield node, vars(module)


def meant(node, named, names):
    """What stands there: a class where it is called, a deed by its name."""
    node = named.get(getattr(node, "id", None), node)
    node = node.func if isinstance(node, ast.Call) else node
    if isinstance(node, ast.Attribute):
        return getattr(names.get(getattr(node.value, "id", "")), node.attr, None)
    return names.get(getattr(node, "id", ""))


def pages():
    """(form, deed, what the page adds) of each page that says all three."""
    for view, names in views():
        made = [n for n in ast.walk(view) if isinstance(n, ast.Assign)]
        named = {getattr(n.targets[0], "id", ""): n.value for n in made}
        for node in ast.walk(view):
            place = PAGES.get(getattr(getattr(node, "func", None), "id", ""))
            if place is None:
                continue
            form, act = (meant(n, named, names) for n in node.args[place : place + 2])
            if act not in DEEDS.values() or not isinstance(form, type):
                continue
            if getattr(form, "arguments", None) not in AS_TYPED:
                continue
            extra = next((k.value for k in node.keywords if k.arg == "extra"), None)
            added = {one.value for one in getattr(extra, "keys", ()) if one}
            yield form, act, added | ({"lot"} if node.func.id == "_deed" else set())


PAIRS = {f"{form.__name__}-{act.__name__}": (form, act, w) for form, act, w in pages()}


def test_most_pages_are_among_them():
    assert len(PAIRS) > 20, sorted(PAIRS)


@pytest.mark.parametrize("pair", sorted(PAIRS))
def test_a_form_names_what_its_deed_asks(pair):
    form, act, added = PAIRS[pair]
    # A sum beside a box is no figure of the deed.
    typed = {
        n for n, f in form.base_fields.items() if not isinstance(f, CalculateButton)
    }
    told = typed | added | SAID_BY_THE_PAGE
    asked = list(inspect.signature(act).parameters.values())[1:]
    assert told - SIGNED <= {one.name for one in asked}
    assert {one.name for one in asked if one.default is one.empty} <= told
