"""The shape of the list of prices: those under target stand first."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from costing.templatetags.prices import cents, said, share
from production.pages.tables import House, Link

NAMED = {"td": {"class": "named"}}
NUMBER = {"td": {"class": "number"}, "th": {"class": "number"}}
# What is said of a price, and the mark it bears: a word and an edge, no colour alone.
UNDER, MET = ("under target", "lost"), ("on target", "released")


def number(**facts):
    return tables.Column(attrs=NUMBER, empty_values=(), **facts)


class Prices(House):
    product = tables.Column(accessor="item__name")
    channel = tables.Column(accessor="channel__name", empty_values=(), attrs=NAMED)
    cost = number(accessor="unit_cost", verbose_name="Cost of one")
    price = number(accessor="price__price")
    margin = number()
    target = number()
    contribution = number()
    met = tables.Column(
        verbose_name="Target met", empty_values=(), order_by=("-gap", "met")
    )

    empty_words = "Nothing that is sold in pieces was made yet."
    fill, fill_words = "items", "See the items"

    def render_product(self, record):
        link = reverse("price", args=[record.item.pk])
        return format_html('<a href="{}">{}</a>', link, record.item)

    def render_channel(self, record):
        if record.channel is None:
            return "no price yet"
        link = record.channel.get_absolute_url()
        return format_html('<a href="{}">{}</a>', link, record.channel)

    def render_cost(self, record):
        if record.cost is None:
            return "no lot yet"
        figure = cents(record.cost.cost)
        if record.cost.lot is None:
            return format_html("{} <small>planned</small>", figure)
        link = reverse("lot-cost", args=[record.cost.lot.code])
        return format_html('<a href="{}">{}</a>', link, figure)

    def render_price(self, record):
        return cents(record.price.price) if record.price else "\u2013"

    def render_margin(self, record):
        return share(record.margin)

    def render_target(self, value):
        return share(value)

    def render_contribution(self, record):
        return cents(record.contribution) if record.sold else "\u2013"

    def render_met(self, record):
        if record.met is None:
            return "\u2013"
        word, mark = MET if record.met else UNDER
        return format_html('<span class="state {}">{}</span>', mark, word)


class PricesSheet(Prices):
    """The same for a spreadsheet, where a figure alone stands in its cell."""

    cost_from = tables.Column(
        accessor="cost", verbose_name="Cost is from", empty_values=()
    )

    def render_cost_from(self, record):
        if record.cost is None:
            return "no lot yet"
        return "planned" if record.cost.lot is None else str(record.cost.lot)

    class Meta:
        sequence = ("product", "channel", "cost", "cost_from", "...")


class Channels(House):
    empty_words = "No channel is known yet: a shop, a stall, a web page."
    fill, fill_words = "channel-add", "Add a channel"
    name = Link(attrs=NAMED)
    kind = tables.Column()
    leaves = number(accessor="reckoned__leaves", verbose_name="Leaves of a price")
    each = number(accessor="reckoned__fixed_each", verbose_name="and takes a piece")
    said = tables.Column(accessor="tax_inside", verbose_name="Prices are said")
    prices = tables.Column(accessor="price_count", attrs=NUMBER)

    def render_leaves(self, value):
        return share(value)

    def render_each(self, value):
        return cents(value) if value else "\u2013"

    def render_said(self, record):
        return said(record)
