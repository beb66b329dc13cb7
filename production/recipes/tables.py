"""The list of recipes."""

import django_tables2 as tables

from production.pages.tables import Count, House, Link
from production.recipes.models.formulas import Formula


class Recipes(House):
    empty_words = "No recipe is written yet."
    fill, fill_words = "recipe-write", "Write a recipe"
    name = Link()
    makes = tables.Column(accessor="makes__name", verbose_name="Makes")
    versions = Count(accessor="version_count", verbose_name="Versions")
    batches = Count(accessor="batch_count", verbose_name="Batches")

    class Meta(House.Meta):
        model = Formula
        fields = ("name", "stage", "makes", "versions", "batches")
