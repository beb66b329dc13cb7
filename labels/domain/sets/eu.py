"""Label rules for the EU: what they ask for, and from which figures.

The clauses stand in ``fixtures/reference/label_rules/eu.csv``.
"""

from decimal import Decimal

from labels.domain import elements as asks
from labels.domain.allergens import UNION_DAYS
from labels.domain.elements import Element
from labels.domain.heights import eu_heights
from labels.domain.languages import Country
from labels.domain.net_contents import metric_contents
from labels.domain.packs import measured_as
from labels.domain.rules import Clauses, RuleSet

ELEMENTS = (
    Element("contents", "Net contents", asks.contents),
    Element("basis", "Weight or volume", measured_as(paste="either")),
    Element("responsible", "Responsible person", asks.responsible_in(union=True)),
    Element("origin", "Country of origin", asks.origin_outside(union=True)),
    Element("durability", "Durability", asks.durability),
    Element("cautions", "Precautions", asks.cautions),
    Element("batch", "Batch number", asks.batch),
    Element("function", "Function", asks.function),
    Element("ingredients", "Ingredient list", asks.ingredients),
    Element(
        "language", "Language", asks.languages("function", "directions", "cautions")
    ),
)


def rules(clauses: Clauses, countries: tuple[Country, ...]) -> RuleSet:
    """The set as it stands, with its clauses and the countries it is the law of."""
    return RuleSet(
        code="eu",
        title="label rules for the EU",
        clauses=clauses,
        countries=countries,
        elements=ELEMENTS,
        contents=metric_contents,
        heights=eu_heights,
        names="eu",
        default_basis="added",
        free_group_includes_one_percent=False,
        parfum_may_close=False,
        rinse_off_over=Decimal("0.01"),
        leave_on_over=Decimal("0.001"),
        allergen_days=UNION_DAYS,
        dated=True,
        heading="Ingredients",
        packers=True,
    )
