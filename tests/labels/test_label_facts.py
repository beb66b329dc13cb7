"""The label that the other tests draw: full under every set of rules."""

from datetime import date
from decimal import Decimal

from labels.domain.durability import Keeping
from labels.domain.heights import heights, panel
from labels.domain.label import LabelFacts, label
from labels.domain.layout import lay_out
from labels.files import faces

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
FULL = {
    "identity": "Tideline",
    "function": "Liquid hand and body soap",
    "declared": "8 fl oz",
    "batch": "TIDE-8OZ-1",
    "maker": "Wrackline Soap Works",
    "place": "14 Cooper's Slip\nMarrow Point, Maine 04999",
    "contact": "207-555-0142",
    "directions": "Work into wet hands, rinse.",
    "cautions": "Avoid the eyes.",
    "keeping": Keeping(date(2026, 1, 16), months=24),
}
RULES = {
    "us": {"ingredients": US, "basis": "finished"},
    "eu": {
        "ingredients": EU,
        "basis": "added",
        "responsible": "Atelier Moreau, 3 rue des Salines\n17000 La Rochelle, France",
        "origin": "Made in the USA",
        "keeping": Keeping(date(2026, 1, 16), months=36, opened_months=12),
    },
    "ca": {
        "ingredients": EU,
        "basis": "finished",
        "second_language": "Savon liquide. Éviter les yeux.",
    },
}


def facts(rules, **more):
    return LabelFacts(**{**FULL, **RULES[rules], **more})


def least(rules, width, height, **more):
    """The heights that a label of this size must keep."""
    shown = panel("label", Decimal(height), Decimal(width))
    return heights(rules, label(facts(rules, **more), rules).contents, shown)


def drawn(rules="us", width="60", height="90", **more):
    content = label(facts(rules, **more), rules)
    size = Decimal(width), Decimal(height)
    return lay_out(content, *size, least(rules, width, height, **more), faces())


def test_the_font_has_the_heights_that_were_measured_in_its_outlines():
    # Source Sans Pro 2.020, read with fontTools: x 486 and 496, figures from 638.
    regular, bold = faces().regular, faces().bold
    assert (regular.x, regular.capital, regular.figure) == (486, 656, 638)
    assert (bold.x, bold.capital, bold.figure) == (496, 652, 635)
    assert drawn().missing == ()
