"""What the history can be narrowed to."""

import django_filters as filters

from production.pages.filters import Since
from production.record.models.ink import Deed
from production.stock.filters import words


class DeedFilter(filters.FilterSet):
    find = words("verb", "reason", "by__username")
    since = Since(field_name="on", lookup_expr="gte", label="Since")

    class Meta:
        model = Deed
        fields = ()
