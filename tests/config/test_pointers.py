"""What a noun points at by name alone, and import-linter therefore cannot see.

A column, a path of a question (``lot__batch__version``) or a table looked up by its
name may lead up to a noun that stands above. Those there are stand in ``KNOWN``; a new
one is asked about here: does it belong to the upper noun?
"""

import ast
import tomllib
from pathlib import Path

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist

HOUSE = Path(__file__).parents[2]
# How a question ends, after the columns.
COMPARED = {"exact", "iexact", "contains", "icontains", "startswith", "istartswith"}
COMPARED |= {"endswith", "iendswith", "in", "isnull", "gt", "gte", "lt", "lte", "pk"}


def nouns():
    """From the lowest to the highest, as pyproject says."""
    told = tomllib.loads((HOUSE / "pyproject.toml").read_text())
    [order] = [
        contract["layers"]
        for contract in told["tool"]["importlinter"]["contracts"]
        if contract["name"] == "A noun uses those below it"
    ]
    return order[::-1]


ORDER = nouns()
MODELS = {
    model.__name__: model for model in apps.get_app_config("production").get_models()
}


def noun_of(model):
    """The noun of a table; None of one that is not of production."""
    app, _, rest = model.__module__.partition(".")
    return rest.split(".")[0] if app == "production" else None


def height(noun):
    return -1 if noun is None else ORDER.index(noun)


def highest(model, path):
    """The highest noun that a path reaches from a table; None where it is no path."""
    reached, start = height(noun_of(model)), model
    for word in path.split("__"):
        try:
            field = model._meta.get_field(word)
        except FieldDoesNotExist:
            return reached if model is not start and word in COMPARED else None
        if field.related_model is None:
            # A column: what follows compares it.
            return reached if model is not start else None
        model = field.related_model
        reached = max(reached, height(noun_of(model)))
    return reached


def words(tree):
    """The paths that a module asks by: strings and keywords."""
    for node in ast.walk(tree):
        if isinstance(node, ast.keyword) and node.arg and "__" in node.arg:
            yield node.arg
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value.removeprefix("-")
            if text.replace("_", "").isalnum() and "__" in text.strip("_"):
                yield text


def looked_up(tree):
    """The tables that a module takes by their name."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and node.value in MODELS:
            yield node.value


def pointers():
    """(noun, what it says, the noun above that it leads to)."""
    for model in MODELS.values():
        own = noun_of(model)
        for field in model._meta.get_fields():
            if field.is_relation and not field.auto_created and field.related_model:
                above = noun_of(field.related_model)
                if height(above) > height(own):
                    yield own, f"{model.__name__}.{field.name}", above
    for noun in ORDER:
        below = [m for m in MODELS.values() if height(noun_of(m)) <= height(noun)]
        for path in sorted((HOUSE / "production" / noun).rglob("*.py")):
            tree = ast.parse(path.read_text())
            for text in words(tree):
                ends = [highest(model, text) for model in below]
                ends = [end for end in ends if end is not None]
                # Of several tables that know the word the lowest is meant.
                if ends and min(ends) > height(noun):
                    yield noun, text, ORDER[min(ends)]
            if path.name != "models.py" and "models" not in path.parts:
                for name in looked_up(tree):
                    above = noun_of(MODELS[name])
                    if height(above) > height(noun):
                        yield noun, name, above


KNOWN = {
    ("contents", "batch__version__formula", "recipes"),
    ("fitness", "batch__version", "recipes"),
    ("fitness", "sale_line__sale__customer", "selling"),
    ("record", "Batch", "stock"),
    ("record", "ExtraCost", "buying"),
    ("record", "Given", "stock"),
    ("record", "Loss", "stock"),
    ("record", "Lot", "stock"),
    ("record", "Measurement", "stock"),
    ("record", "Movement", "stock"),
    ("record", "Purchase", "buying"),
    ("record", "PurchaseLine", "buying"),
    ("record", "Sale", "selling"),
    ("record", "SaleLine", "selling"),
    ("record", "Work", "stock"),
    ("stock", "Batch.version", "recipes"),
    ("stock", "Looked", "selling"),
    ("stock", "Lot.line", "buying"),
    ("stock", "Movement.sale_line", "selling"),
    ("stock", "Purchase", "buying"),
    ("stock", "PurchaseLine", "buying"),
    ("stock", "Return", "selling"),
    ("stock", "Sale", "selling"),
    ("stock", "batch__version", "recipes"),
    ("stock", "line__in", "buying"),
    ("stock", "line__isnull", "buying"),
    ("stock", "line__purchase__number", "buying"),
    ("stock", "line__purchase__supplier", "buying"),
    ("stock", "line__purchase__supplier__name", "buying"),
    ("stock", "sale_line__isnull", "selling"),
    ("stock", "sale_line__sale__customer__name__icontains", "selling"),
    ("workshop", "Place.customer", "selling"),
    ("yields", "Version", "recipes"),
}


def test_nothing_new_points_at_a_higher_noun():
    assert set(pointers()) - KNOWN == set()


def test_what_is_known_is_still_there():
    assert KNOWN - set(pointers()) == set()


def test_a_path_is_followed_over_each_table():
    assert ORDER[highest(MODELS["Lot"], "line__purchase__number")] == "buying"
    assert highest(MODELS["Lot"], "nowhere__at_all") is None
    assert ORDER[highest(MODELS["Lot"], "item__name")] == "stock"
