"""What the list of recipes can be narrowed to."""

import django_filters as filters

from production.recipes.models.formulas import Formula
from production.stock.filters import words
from production.stock.models.batches import Stage


class RecipeFilter(filters.FilterSet):
    find = words("name", "makes__name")
    stage = filters.ChoiceFilter(label="Stage", choices=Stage, empty_label="any stage")

    class Meta:
        model = Formula
        fields = ()
