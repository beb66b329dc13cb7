"""What the list of issued labels can be narrowed to."""

import django_filters as filters

from labels.models import IssuedLabel
from production.pages.filters import Since, state
from production.stock.filters import words


class IssuedFilter(filters.FilterSet):
    find = words("item__name", lots="lot__")
    since = Since(field_name="deed__on", lookup_expr="gte", label="Since")
    state = state("gone", no="out", yes="taken back")

    class Meta:
        model = IssuedLabel
        fields = ()
