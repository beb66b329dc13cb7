"""The shape of a valued stock list: words left, figures right."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from production.pages.tables import Figure, House
from production.templatetags.formatting import money

NUMBER = {"td": {"class": "number"}, "th": {"class": "number"}}


class Values(House):
    lot = tables.Column(order_by="lot__code")
    item = tables.Column()
    on_hand = Figure(item="lot__item")
    unit_cost = tables.Column(attrs=NUMBER, empty_values=())
    value = tables.Column(attrs=NUMBER, empty_values=())

    empty_words = "Nothing is in stock."
    fill, fill_words = "purchase-record", "Record a purchase"

    class Meta(House.Meta):
        order_by = ("item", "lot")

    def render_lot(self, value):
        return format_html('<a href="{}">{}</a>', value.get_absolute_url(), value)

    def render_item(self, value, record):
        return f"{value}, a trial" if record["trial"] else value

    def render_unit_cost(self, value, record):
        cost = money(None if value is None else round(value, 6))
        return format_html(
            '<a href="{}">{}</a>', reverse("lot-cost", args=[record["lot"].code]), cost
        )

    def render_value(self, value):
        return money(None if value is None else round(value, 4))
