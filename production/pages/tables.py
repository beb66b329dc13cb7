"""The columns that every list is made of, and what all lists share."""

import django_tables2 as tables
from django.db.models import Sum
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import mark_safe
from django_tables2.utils import A

from production.templatetags.formatting import amount, state


class Figure(tables.Column):
    """An amount in its item's unit, to the right; ``item`` is the way to the item."""

    attrs = {"td": {"class": "number"}, "th": {"class": "number"}}

    def __init__(self, *args, item="item", **kwargs):
        super().__init__(*args, **kwargs)
        self.item, self.empty_values = item, ()

    def unit(self, record):
        return A("__".join(filter(None, [self.item, "unit"]))).resolve(record)

    def render(self, value, record):
        return amount(value, self.unit(record))


class Count(tables.Column):
    attrs = {"td": {"class": "number"}, "th": {"class": "number"}}


class Stands(tables.Column):
    """Whether a paper counts; only in a list that was asked for all of them."""

    def __init__(self, *args, **kwargs):
        kwargs |= {"verbose_name": "State", "orderable": False}
        super().__init__(*args, empty_values=(), **kwargs)

    def render(self, value):
        return "in force" if value else "taken back"


class State(tables.Column):
    def __init__(self, *args, **kwargs):
        super().__init__(*args, empty_values=(), **kwargs)

    def render(self, value):
        return state(value)


class Day(tables.Column):
    """A date as it is typed everywhere else."""

    attrs = {"td": {"class": "date"}}

    def render(self, value):
        return f"{value:%Y-%m-%d}"


class Link(tables.Column):
    """The thing itself, leading to its page."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, linkify=True, **kwargs)


class Made(tables.Column):
    """The lot that a batch made, leading to its page."""

    def __init__(self):
        super().__init__(accessor="lot__code", verbose_name="Made", empty_values=())

    def render(self, record):
        lot = getattr(record, "lot", None)
        if lot is None or record.lost:
            return "\u2013"
        return format_html('<a href="{}">{}</a>', lot.get_absolute_url(), lot)


class House(tables.Table):
    """What every list shares; ``fill`` names the page that would fill an empty one.

    ``narrowed``: somebody asked for a part of it, so that empty means something else.
    """

    empty_words, fill, fill_words = "Nothing is in the book yet.", "", ""

    class Meta:
        default = "\u2013"

    def fill_link(self):
        return reverse(self.fill) if self.fill else ""

    in_all = None
    narrowed = False

    def foot(self, queryset):
        """What all pages of the narrowed list add up to: {column: [(sum, unit)]}."""
        counted = {
            # An alias of its own: one named as an annotation would hide it.
            f"sum_{column.name}": Sum(column.accessor)
            for column in self.columns
            if isinstance(column.column, Count)
            and str(column.accessor) in queryset.query.annotations
        }
        sums = queryset.order_by().aggregate(**counted) if counted else {}
        return {
            name.removeprefix("sum_"): [(total, "")]
            for name, total in sums.items()
            if total
        }

    def foot_cells(self):
        """A cell under each column, the figures of one unit apart from another's."""
        if not self.in_all:
            return []
        return [
            (
                column.header,
                format_html_join(
                    mark_safe("<br>"),
                    "{}",
                    ((amount(*one),) for one in self.in_all.get(column.name, [])),
                ),
            )
            for column in self.columns
        ]


def by_unit(rows):
    """Grams and pieces apart: they are never added together."""
    sums = rows.order_by().values_list("lot__item__unit").annotate(total=Sum("amount"))
    return [(total, unit) for unit, total in sorted(sums) if total]
