"""What the lists of batches and trials can be narrowed to."""

import django_filters as filters

from production.pages.filters import state
from production.stock.filters import words
from production.stock.models.batches import Batch, Stage


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


class TrialFilter(filters.FilterSet):
    find = words("code", lots="lot__")
    promoted = state("promoted", no="not to be sold", yes="accepted")

    class Meta:
        model = Batch
        fields = ()
