"""What a list can be narrowed to."""

import django_filters as filters
from django import forms
from django.db.models import Q

from production.buying.models import Purchase, Supplier
from production.recipes.models.formulas import Formula, Stage
from production.record.models.ink import Deed
from production.selling.models import Customer, Return, Sale
from production.stock.models.batches import Batch
from production.stock.models.ledger import Item, Lot, Status
from production.stock.reads.lookup import mentions, went_to
from production.workshop.models.workshop import Place


def state(column, *, no, yes):
    """A choice between the two states that a column tells apart."""
    return filters.ChoiceFilter(
        label="State",
        choices=[("no", no), ("yes", yes)],
        method=lambda rows, name, value: rows.filter(**{column: value == "yes"}),
        empty_label="any state",
    )


def words(*paths, lots=None, more=lambda text: Q()):
    """A box that looks for words in these columns.

    ``lots`` is the way to a lot that may be meant, by anything it is called.
    """

    def find(queryset, name, value):
        match = more(value)
        for path in paths:
            match |= Q(**{f"{path}__icontains": value})
        if lots is not None:
            match |= mentions(value, lots)
        # By keys, so that a row that says it twice is listed, and counted, once.
        found = queryset.model._default_manager.filter(match)
        return queryset.filter(pk__in=found.order_by().values("pk"))

    return filters.CharFilter(label="Find", method=find)


class Since(filters.DateFilter):
    def __init__(self, *args, **kwargs):
        kwargs["widget"] = forms.DateInput(attrs={"type": "date"})
        super().__init__(*args, **kwargs)


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


class TakenBackToo(filters.Filter):
    """A box to tick; what it asks for is judged by the whole set."""

    field_class = forms.BooleanField

    def __init__(self):
        super().__init__(label="Also what was taken back")

    def filter(self, queryset, value):
        return queryset


class PaperFilter(filters.FilterSet):
    """Papers that stand, and those taken back where ``also`` asks for them."""

    def filter_queryset(self, queryset):
        found = super().filter_queryset(queryset)
        return found if self.asked_for_all else found.filter(stands=True)

    @property
    def asked_for_all(self):
        return bool(self.form.is_valid() and self.form.cleaned_data["also"])

    @property
    def columns_left_out(self):
        return () if self.asked_for_all else ("stands",)


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


class ItemFilter(filters.FilterSet):
    find = words("name")
    kind = filters.ChoiceFilter(label="Kind", choices=Item.Kind, empty_label="any kind")

    class Meta:
        model = Item
        fields = ()


class SupplierFilter(filters.FilterSet):
    find = words("name", "contact")

    class Meta:
        model = Supplier
        fields = ()


class CustomerFilter(filters.FilterSet):
    find = words("name", "contact")

    class Meta:
        model = Customer
        fields = ()


class RecipeFilter(filters.FilterSet):
    find = words("name", "makes__name")
    stage = filters.ChoiceFilter(label="Stage", choices=Stage, empty_label="any stage")

    class Meta:
        model = Formula
        fields = ()


class BatchFilter(filters.FilterSet):
    find = words("code", "version__formula__name", lots="lot__")
    stage = filters.ChoiceFilter(label="Stage", choices=Stage, empty_label="any stage")
    done = filters.ChoiceFilter(
        label="State",
        choices=[("no", "open"), ("yes", "done"), ("lost", "lost")],
        method="in_state",
        empty_label="any state",
    )

    def in_state(self, queryset, name, value):
        if value == "lost":
            return queryset.filter(lost=True)
        return queryset.filter(done=value == "yes", lost=False)

    class Meta:
        model = Batch
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


class DeedFilter(filters.FilterSet):
    find = words("verb", "reason", "by__username")
    since = Since(field_name="on", lookup_expr="gte", label="Since")

    class Meta:
        model = Deed
        fields = ()


class StandingFilter(filters.FilterSet):
    find = filters.CharFilter(label="Find", field_name="lot__code", method="look")
    place = filters.ModelChoiceFilter(
        label="Place", queryset=Place.objects.all(), empty_label="any place"
    )

    def look(self, queryset, name, value):
        return queryset.filter(mentions(value, "lot__"))


class TrialFilter(filters.FilterSet):
    find = words("code", lots="lot__")
    promoted = state("promoted", no="not to be sold", yes="accepted")

    class Meta:
        model = Batch
        fields = ()
