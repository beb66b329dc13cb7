"""The list of labels that were issued."""

import django_tables2 as tables

from labels.models import IssuedLabel
from production.pages.tables import Count, Day, House


class IssuedLabels(House):
    empty_words = "No label was issued yet. Issue one from the page of a filled lot."
    fill, fill_words = "filled", "See the filled lots"
    product = tables.Column(
        accessor="item__name", linkify=lambda record: record.get_absolute_url()
    )
    lot = tables.Column(linkify=True, verbose_name="Batch no.")
    on = Day(accessor="deed__on", verbose_name="Day")
    rules = tables.Column()
    printed = Count(accessor="all_printed", verbose_name="Printed")
    used = Count(verbose_name="Stuck on")
    spoiled = Count()
    left = Count()
    state = tables.Column(accessor="pk", orderable=False, verbose_name="State")

    class Meta(House.Meta):
        model = IssuedLabel
        fields = (
            "product",
            "lot",
            "on",
            "rules",
            "printed",
            "used",
            "spoiled",
            "left",
            "state",
        )

    def render_state(self, record):
        return "taken back" if hasattr(record, "withdrawn") else "out"
