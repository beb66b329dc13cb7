"""Label rules for the US: what they ask for, and from which figures.

The clauses stand in ``fixtures/reference/label_rules/us.csv``.
"""

from labels.domain import elements as asks
from labels.domain.elements import Element
from labels.domain.heights import us_heights
from labels.domain.languages import Country
from labels.domain.net_contents import us_contents
from labels.domain.packs import bottle_measured, measured_as
from labels.domain.rules import Clauses, RuleSet
from labels.domain.statement import us_faults

ELEMENTS = (
    Element("identity", "Identity", asks.identity),
    Element("contents", "Net contents", asks.contents),
    Element("basis", "Weight or volume", measured_as(paste="weight")),
    Element("net height", "Measures of the bottle", bottle_measured),
    Element("maker", "Name of the maker", asks.maker),
    Element("place", "Place of the maker", asks.place),
    Element("contact", "Contact for reactions", asks.us_contact),
    Element("ingredients", "Ingredient list", asks.ingredients),
    Element("cautions", "Precautions", asks.warnings),
    Element("batch", "Batch number", asks.batch),
    Element("durability", "Durability", asks.no_durability),
)


def rules(clauses: Clauses, countries: tuple[Country, ...]) -> RuleSet:
    """The set as it stands, with its clauses and the countries it is the law of."""
    return RuleSet(
        code="us",
        title="label rules for the US",
        clauses=clauses,
        countries=countries,
        elements=ELEMENTS,
        contents=us_contents,
        heights=us_heights,
        names="us",
        default_basis="finished",
        free_group_includes_one_percent=True,
        parfum_may_close=False,
        rinse_off_over=None,
        leave_on_over=None,
        faults=us_faults,
    )
