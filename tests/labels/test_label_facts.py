"""The label that the other tests draw: full under every set of rules."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from labels.domain.durability import Keeping
from labels.domain.facts import Address, LabelFacts, ProductText
from labels.domain.heights import Bottle, panel
from labels.domain.label import label
from labels.domain.layout import lay_out
from labels.files import faces
from labels.reads.rules import rule_set, union, words

US = (
    "Water",
    "Potassium Safflowerate",
    "Glycerin",
    "Potassium Babassuate",
    "Sodium Chloride",
    "Fragrance",
)
EU = (
    "Aqua",
    "Carthamus Tinctorius Seed Oil",
    "Potassium Hydroxide",
    "Glycerin",
    "Parfum",
    "Linalool",
)
ENGLISH = ProductText(
    "en",
    "Tideline",
    "Liquid hand and body soap",
    "Work into wet hands, rinse.",
    "Avoid the eyes.",
)
FRENCH = ProductText(
    "fr",
    "Savon liquide",
    "Savon pour les mains",
    "Faire mousser, rincer.",
    "Éviter les yeux.",
    "Fabriqué aux États-Unis",
)
MAKER = Address(
    "Wrackline Soap Works",
    ("14 Cooper's Slip", "Marrow Point, Maine 04999"),
    "US",
    "United States",
)
ATELIER = Address(
    "Atelier Moreau", ("3 rue des Salines", "17000 La Rochelle"), "FR", "France"
)
FULL = {
    "texts": (ENGLISH,),
    "words": words(),
    "languages": ("en",),
    "union": union(),
    "on": date(2026, 11, 28),
    "declared": "8 fl oz",
    "body": "liquid",
    "bottle": Bottle("label"),
    "batch": "TIDE-8OZ-1",
    "maker": MAKER,
    "contact": "207-555-0142",
    "keeping": Keeping(date(2026, 1, 16), months=24),
}
LONG = Keeping(date(2026, 1, 16), months=36, opened_months=12)
RULES = {
    "us": {"ingredients": US, "basis": "finished"},
    "eu": {
        "ingredients": EU,
        "basis": "added",
        "answers": ATELIER,
        "keeping": LONG,
    },
    "uk": {
        "ingredients": EU,
        "basis": "added",
        "answers": ATELIER,
        "keeping": LONG,
    },
    "ca": {
        "ingredients": EU,
        "basis": "finished",
        "texts": (ENGLISH, FRENCH),
        "languages": ("en", "fr"),
    },
}


def facts(rules, **more):
    """``identity``, ``function``, ``directions``, ``cautions`` of the first text."""
    told = {**FULL, **RULES[rules], **more}
    words_of_it = {
        name: told.pop(name)
        for name in ("identity", "function", "directions", "cautions", "origin")
        if name in told
    }
    first, *others = told["texts"]
    told["texts"] = (replace(first, **words_of_it), *others)
    return LabelFacts(**told)


def worded(rules, **more):
    return label(facts(rules, **more), rule_set(rules))


def least(rules, width, height, **more):
    """The heights that a label of this size must keep."""
    shown = panel("label", Decimal(height), Decimal(width))
    asked = rule_set(rules)
    return asked.heights(worded(rules, **more).contents, shown, asked.clauses)


def drawn(rules="us", width="60", height="90", **more):
    content = worded(rules, **more)
    size = Decimal(width), Decimal(height)
    return lay_out(content, *size, least(rules, width, height, **more), faces())


def test_the_font_has_the_heights_that_were_measured_in_its_outlines():
    # Source Sans Pro 2.020, read with fontTools: x 486 and 496, figures from 638.
    regular, bold = faces().regular, faces().bold
    assert (regular.x, regular.capital, regular.figure) == (486, 656, 638)
    assert (bold.x, bold.capital, bold.figure) == (496, 652, 635)
    assert drawn().missing == ()
