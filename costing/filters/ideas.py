"""What the list of ideas can be narrowed to."""

import django_filters as filters

from costing.models import ProductIdea
from production.stock.filters import words


class IdeaFilter(filters.FilterSet):
    find = words("name")

    class Meta:
        model = ProductIdea
        fields = ()
