"""The shape of what is listed: words left, figures right."""

import django_tables2 as tables
from django.db.models import Q, Sum
from django.urls import reverse
from django.utils.html import format_html

from production.fitness.reads.stock import unfit_though_released
from production.pages.tables import (
    Count,
    Day,
    Figure,
    House,
    Link,
    State,
    by_unit,
)
from production.record.reads.clock import today
from production.stock.models.counts import Stock
from production.stock.models.lots import Lot
from production.templatetags.formatting import state
from production.workshop.models.items import Item

NOT_FIT = "not fit"


class Lots(House):
    empty_words = "No lot is here. Lots come with a purchase or a batch."
    fill, fill_words = "purchase-record", "Record a purchase"
    code = Link(verbose_name="Lot")
    item = tables.Column(accessor="item__name", verbose_name="Item")
    on_hand = Figure()
    status = State()
    expires = Day()

    class Meta(House.Meta):
        model = Lot
        fields = ("code", "item", "on_hand", "status", "expires")
        order_by = "-id"

    def foot(self, queryset):
        kept = Stock.objects.filter(lot__in=queryset.order_by().values("pk"))
        return {"on_hand": by_unit(kept)}

    def render_status(self, value, record):
        return state(NOT_FIT if record.pk in self._not_fit() else value)

    def value_status(self, value, record):
        return NOT_FIT if record.pk in self._not_fit() else value

    def _not_fit(self):
        """Of the lots that are drawn, those that are released and may not go."""
        if not hasattr(self, "unfit"):
            rows = self.page.object_list if hasattr(self, "page") else self.rows
            lots = [row.record for row in rows]
            self.unfit = unfit_though_released(lots, today())
        return self.unfit


class FilledLots(Lots):
    empty_words = "Nothing has been filled yet."
    fill, fill_words = "batches", "See the batches"
    code = Link(verbose_name="Batch no.")
    net_mass = tables.Column(verbose_name="Net mass, g", attrs=Count.attrs)
    made = Day(accessor="batch__started", verbose_name="Filled")

    class Meta(House.Meta):
        model = Lot
        fields = ("code", "item", "made", "net_mass", "on_hand", "status", "expires")


class Items(House):
    empty_words = "No material or product is known yet."
    fill, fill_words = "item-add", "Add an item"
    name = Link()
    on_hand = Figure(item="")

    class Meta(House.Meta):
        model = Item
        fields = ("name", "kind", "category", "on_hand")


class Standing(House):
    """What stands at a place."""

    empty_words = "Nothing stands anywhere yet."
    fill, fill_words = "purchase-record", "Record a purchase"
    place = tables.Column(accessor="place__name", verbose_name="Place")
    lot = tables.Column(accessor="lot__code", verbose_name="Lot")
    item = tables.Column(accessor="lot__item__name", verbose_name="Item")
    total = Figure(item="lot__item", verbose_name="On hand")

    class Meta(House.Meta):
        fields = ("place", "lot", "item", "total")

    def foot(self, queryset):
        sums = queryset.order_by().aggregate(
            **{
                unit: Sum("total", filter=Q(lot__item__unit=unit))
                for unit in ("g", "piece")
            }
        )
        return {"total": [(total, unit) for unit, total in sums.items() if total]}

    def render_lot(self, value):
        return format_html('<a href="{}">{}</a>', reverse("lot", args=[value]), value)
