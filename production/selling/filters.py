"""What the lists of customers, sales and returns can be narrowed to."""

import django_filters as filters

from production.pages.filters import PaperFilter, Since, TakenBackToo
from production.selling.models import Customer, Return, Sale
from production.stock.filters import words


class CustomerFilter(filters.FilterSet):
    find = words("name", "contact")

    class Meta:
        model = Customer
        fields = ()


class SaleFilter(PaperFilter):
    find = words("number", "customer__name", "channel", lots="lines__lot__")
    since = Since(field_name="on", lookup_expr="gte", label="Since")
    also = TakenBackToo()

    class Meta:
        model = Sale
        fields = ()


class ReturnFilter(PaperFilter):
    find = words(
        "number",
        "line__sale__number",
        "line__sale__customer__name",
        lots="line__lot__",
    )
    also = TakenBackToo()

    class Meta:
        model = Return
        fields = ()
