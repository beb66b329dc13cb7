"""What the lists of purchases and suppliers can be narrowed to."""

import django_filters as filters

from production.buying.models import Purchase, Supplier
from production.pages.filters import PaperFilter, Since, TakenBackToo
from production.stock.filters import words


class PurchaseFilter(PaperFilter):
    find = words("number", "supplier__name", "lines__item__name", lots="lines__lots__")
    since = Since(field_name="arrived", lookup_expr="gte", label="Arrived since")
    also = TakenBackToo()

    class Meta:
        model = Purchase
        fields = ()

    def filter_queryset(self, queryset):
        found = super().filter_queryset(queryset)
        return queryset.filter(pk__in=found.values("pk"))


class SupplierFilter(filters.FilterSet):
    find = words("name", "contact")

    class Meta:
        model = Supplier
        fields = ()
