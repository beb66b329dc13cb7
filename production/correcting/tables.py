"""The history: every act, the latest first."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from production.correcting.reads.about import named_in
from production.pages.tables import Day, House
from production.record.models.ink import Deed
from production.templatetags.about import called, links


class Deeds(House):
    empty_words = "Nothing was done yet."
    on = Day(verbose_name="Day")
    verb = tables.Column(
        verbose_name="What", linkify=lambda record: reverse("deed", args=[record.pk])
    )
    by = tables.Column(accessor="by__username", verbose_name="By")
    about = tables.Column(empty_values=(), orderable=False, verbose_name="About")
    undo = tables.Column(
        empty_values=(),
        orderable=False,
        verbose_name="Act",
        exclude_from_export=True,
    )

    class Meta(House.Meta):
        model = Deed
        fields = ("on", "verb", "about", "by", "reason", "undo")

    def before_render(self, request):
        """One query for what the acts of the whole page are about."""
        self.named = named_in(row.record for row in self.paginated_rows)

    def render_about(self, record):
        return links(self.named.get(record.pk, []), record.pk)

    def value_about(self, record):
        return ", ".join(map(called, self.named.get(record.pk, [])))

    def render_undo(self, record):
        if not record.undoable:
            return ""
        return format_html(
            '<a href="{}">take back</a>', reverse("deed-undo", args=[record.pk])
        )
