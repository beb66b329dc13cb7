"""What the lists of lots and items can be narrowed to."""

import django_filters as filters

from production.stock.filters import words
from production.stock.models.lots import Lot, Status
from production.stock.reads.lookup import mentions, went_to
from production.workshop.models.items import Item
from production.workshop.models.places import Place


class LotFilter(filters.FilterSet):
    find = words(lots="", more=went_to)
    status = filters.ChoiceFilter(
        label="Status", choices=Status.Word, empty_label="any status"
    )
    kind = filters.ChoiceFilter(
        field_name="item__kind", choices=Item.Kind, label="Kind", empty_label="any kind"
    )
    stock = filters.ChoiceFilter(
        label="Stock",
        choices=[("in", "on hand"), ("out", "used up")],
        method="by_stock",
        empty_label="all",
    )

    class Meta:
        model = Lot
        fields = ()

    def by_stock(self, queryset, name, value):
        if value == "in":
            return queryset.filter(on_hand__gt=0)
        return queryset.filter(on_hand=0)


class ItemFilter(filters.FilterSet):
    find = words("name")
    kind = filters.ChoiceFilter(label="Kind", choices=Item.Kind, empty_label="any kind")

    class Meta:
        model = Item
        fields = ()


class StandingFilter(filters.FilterSet):
    find = filters.CharFilter(label="Find", field_name="lot__code", method="look")
    place = filters.ModelChoiceFilter(
        label="Place", queryset=Place.objects.all(), empty_label="any place"
    )

    def look(self, queryset, name, value):
        return queryset.filter(mentions(value, "lot__"))
