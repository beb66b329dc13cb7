"""What a list can be narrowed to."""

import django_filters as filters
from django import forms


def state(column, *, no, yes):
    """A choice between the two states that a column tells apart."""
    return filters.ChoiceFilter(
        label="State",
        choices=[("no", no), ("yes", yes)],
        method=lambda rows, name, value: rows.filter(**{column: value == "yes"}),
        empty_label="any state",
    )


class Since(filters.DateFilter):
    def __init__(self, *args, **kwargs):
        kwargs["widget"] = forms.DateInput(attrs={"type": "date"})
        super().__init__(*args, **kwargs)


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
