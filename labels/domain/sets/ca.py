"""Label rules for Canada: what they ask for, and from which figures.

The clauses stand in ``fixtures/reference/label_rules/ca.csv``.
"""

from datetime import date
from decimal import Decimal

from labels.domain import elements as asks
from labels.domain.allergens import AllergenDays
from labels.domain.elements import Element
from labels.domain.heights import ca_heights
from labels.domain.languages import Country
from labels.domain.net_contents import canada_contents
from labels.domain.packs import bottle_measured, measured_as
from labels.domain.rules import Clauses, RuleSet
from labels.domain.statement import canada_faults

# C.R.C., c. 869, s. 21.4(4),(5), in force 12 April 2026; the later days as others read
# them (SOR/2024-63).
DAYS = AllergenDays(
    older=date(2026, 4, 12),
    newer=date(2026, 8, 1),
    newer_on_sale=date(2028, 8, 1),
)

ELEMENTS = (
    Element("identity", "Identity", asks.identity),
    Element("contents", "Net contents", asks.contents),
    Element("basis", "Weight or volume", measured_as(paste="volume")),
    Element("net height", "Measures of the bottle", bottle_measured),
    Element("maker", "Name of the maker", asks.maker),
    Element("place", "Place of the maker", asks.place),
    Element("origin", "Country of origin", asks.origin_outside("CA")),
    Element("contact", "Contact for reactions", asks.contact),
    Element("ingredients", "Ingredient list", asks.ingredients),
    Element("cautions", "Precautions", asks.warnings),
    Element(
        "language",
        "Language",
        asks.languages("identity", "function", "directions", "cautions", "origin"),
    ),
    Element("batch", "Batch number", asks.batch),
    Element("durability", "Durability", asks.no_durability),
)


def rules(clauses: Clauses, countries: tuple[Country, ...]) -> RuleSet:
    """The set as it stands, with its clauses and the countries it is the law of."""
    return RuleSet(
        code="ca",
        title="label rules for Canada",
        clauses=clauses,
        countries=countries,
        elements=ELEMENTS,
        contents=canada_contents,
        heights=ca_heights,
        names="eu",
        default_basis="finished",
        free_group_includes_one_percent=True,
        parfum_may_close=True,
        rinse_off_over=Decimal("0.01"),
        leave_on_over=Decimal("0.001"),
        faults=canada_faults,
        allergen_days=DAYS,
    )
