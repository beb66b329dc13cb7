"""How figures and states are written on a page."""

from decimal import Decimal

from django import template
from django.utils.html import format_html

from production.domain.numbers import plain

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
    ("history", "History"),
    ("workshop", "Workshop"),
]
# The first word of a page's name says under which head it stands.
HEADS = {
    "purchase": "purchases",
    "line": "purchases",
    "recipe": "recipes",
    "formula": "recipes",
    "version": "recipes",
    "batch": "batches",
    "day": "batches",
    "scents": "batches",
    "lot": "lots",
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
    "book": "history",
    "person": "workshop",
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


def thousands(value):
    """``12,345.6``: plain, in groups."""
    whole, _, part = plain(abs(value)).partition(".")
    minus = "\u2212" if value < 0 else ""
    return f"{minus}{int(whole):,}" + (f".{part}" if part else "")


@register.filter
def amount(value, unit="g"):
    """A figure with its unit small beside it; a missing one is a dash, never zero."""
    if value is None or value == "":
        return "\u2013"
    words = {"piece": "pc" if value == 1 else "pcs"}.get(str(unit), str(unit))
    return format_html(
        '<span class="figure">{} <small>{}</small></span>',
        thousands(Decimal(value)),
        words,
    )


@register.filter
def percent(value):
    if value is None or value == "":
        return "\u2013"
    return format_html(
        '<span class="figure">{} <small>%</small></span>', thousands(value * 100)
    )


@register.filter
def money(value, currency=""):
    """At least two places, so that columns line up."""
    if value is None or value == "":
        return "unknown"
    text = thousands(value)
    whole, _, part = text.partition(".")
    return format_html(
        '<span class="figure">{} <small>{}</small></span>',
        f"{whole}.{part:0<2}",
        currency,
    )


@register.filter
def sixth(value):
    """A unit cost to the sixth place, so that a column lines up."""
    return f"{value:.6f}"


@register.filter
def state(word):
    """The word of a status with its mark: colour never speaks alone."""
    word = word or "no status"
    mark = word.replace(" ", "-")
    return format_html('<span class="state {}">{}</span>', mark, word)


@register.filter
def reading(measurement):
    """What a measurement says, in words."""
    parts = []
    if measurement.value is not None:
        shares = {
            "purity",
            "carbonate",
            "unsaponifiable",
            "soap content",
            "free alkali",
        }
        if measurement.what in shares:
            parts.append(f"{plain(measurement.value * 100)} %")
        else:
            parts.append(plain(measurement.value))
    if measurement.passed is not None:
        parts.append("passed" if measurement.passed else "not passed")
    if measurement.note:
        parts.append(measurement.note)
    return ", ".join(parts)
