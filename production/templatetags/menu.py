"""The menu, in the order of the work."""

from django import template

register = template.Library()


# In the order of the work; the rest stands on the shelf.
WORK = [
    ("start", "Start"),
    ("purchases", "Purchases"),
    ("recipes", "Recipes"),
    ("batches", "Batches"),
    ("lots", "Lots"),
    ("sales", "Sales"),
    ("trace", "Trace"),
]


SHELF = [
    ("items", "Items"),
    ("suppliers", "Suppliers"),
    ("customers", "Customers"),
    ("places", "Places"),
    ("returns", "Returns"),
    ("sheets", "Sheets"),
    ("book-value", "Value"),
    ("books", "Books"),
    ("history", "History"),
    ("workshop", "Workshop"),
]


# The first word of a page's name says under which head it stands.
HEADS = {
    "purchase": "purchases",
    "line": "purchases",
    "recipe": "recipes",
    "formula": "recipes",
    "plan": "recipes",
    "compare": "recipes",
    "version": "recipes",
    "batch": "batches",
    "run": "batches",
    "bench": "batches",
    "day": "batches",
    "scents": "batches",
    "lot": "lots",
    "check": "lots",
    "alkali": "lots",
    "stock": "lots",
    "filled": "lots",
    "sale": "sales",
    "return": "sales",
    "item": "items",
    "supplier": "suppliers",
    "customer": "customers",
    "place": "places",
    "deed": "history",
    "entry": "history",
    "put": "history",
    "book": "history",
    "statement": "book-value",
    "statements": "book-value",
    "person": "workshop",
    "vessel": "workshop",
    "hint": "workshop",
    "hints": "workshop",
    "rule": "workshop",
    "password": "workshop",
    "sheet": "sheets",
    "label": "items",
}


@register.simple_tag(takes_context=True)
def menu(context, which):
    """The menu's entries as (name, words, whether we are there)."""
    match = getattr(context.get("request"), "resolver_match", None)
    name = (match.url_name if match else "") or ""
    here = HEADS.get(name.split("-")[0], name)
    rows = WORK if which == "work" else SHELF
    return [(entry, words, entry in (here, name)) for entry, words in rows]
