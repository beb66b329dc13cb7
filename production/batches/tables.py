"""The lists of batches and trials."""

import django_tables2 as tables
from django.utils.html import format_html

from production.pages.tables import Count, Day, House, Link, Made
from production.stock.models.batches import Batch
from production.templatetags.formatting import state


class Batches(House):
    empty_words = "No batch was made yet."
    fill, fill_words = "batch-start", "Start a batch"
    code = Link(verbose_name="Batch")
    recipe = tables.Column(
        accessor="version",
        order_by="version__formula__name",
        verbose_name="Recipe",
    )
    lot = Made()
    started = Day()
    done = tables.Column(verbose_name="State", orderable=False)

    class Meta(House.Meta):
        model = Batch
        fields = ("code", "stage", "started", "recipe", "lot", "done")

    def render_done(self, value, record):
        if value or record.lost:
            return state("done" if value else "lost")
        if record.undone:
            return state("taken back")
        return state("held" if record.held else "open")


class Trials(House):
    """Ticked ones go side by side: the boxes belong to the form under the table."""

    empty_words = "No trial was made yet. Mix small samples of one soap first."
    fill, fill_words = "batch-trials-mix", "Mix samples"
    code = Link(verbose_name="Trial")
    what = tables.Column(accessor="lot__item__name", verbose_name="Of")
    lot = Made()
    made = Day(accessor="made_on", verbose_name="On")
    looks = Count(verbose_name="Looks, of 3")
    standing = tables.Column(
        empty_values=(), orderable=False, verbose_name="State", accessor="promoted"
    )
    pick = tables.Column(
        empty_values=(),
        orderable=False,
        verbose_name="Side by side",
        accessor="pk",
        exclude_from_export=True,
    )

    class Meta(House.Meta):
        model = Batch
        fields = ("code", "what", "lot", "made", "looks", "standing", "pick")

    def foot(self, queryset):
        """Looks of several trials add up to nothing."""
        return {}

    def render_standing(self, record):
        if record.undone:
            return state("taken back")
        if record.lost:
            return state("lost")
        if record.made_on is None:
            return state("open")
        return "accepted" if record.promoted else "not to be sold"

    def render_pick(self, record):
        if record.made_on is None:
            return "\u2013"
        return format_html(
            '<label class="pick"><input type="checkbox" name="batch" value="{}" '
            'form="beside"><span class="unseen">{} side by side</span></label>',
            record.code,
            record.code,
        )
