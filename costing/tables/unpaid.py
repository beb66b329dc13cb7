"""What is not paid yet, purchases and sales together, the oldest first."""

import django_tables2 as tables
from django.utils.html import format_html

from production.buying.reads.owed import open_purchases
from production.pages.tables import Day, House
from production.selling.reads.payments import open_sales
from production.templatetags.formatting import in_cents

NUMBER = {"td": {"class": "number"}, "th": {"class": "number"}}


def unpaid_rows():
    """Rows in a fixed number of queries, however many are open."""
    rows = [
        {
            "paper": one.purchase,
            "kind": "purchase",
            "on": one.purchase.arrived,
            "who": str(one.purchase.supplier),
            "total": one.owed,
            "paid": one.paid,
            "left": one.left,
        }
        for one in open_purchases()
    ]
    rows += [
        {
            "paper": one.sale,
            "kind": "sale",
            "on": one.sale.on,
            "who": str(one.sale.customer or one.sale.channel),
            "total": one.owed,
            "paid": one.paid,
            "left": one.left,
        }
        for one in open_sales()
    ]
    return sorted(rows, key=lambda row: row["on"])


class Unpaid(House):
    empty_words = "Everything is paid."

    kind = tables.Column(verbose_name="What")
    paper = tables.Column(verbose_name="Number", orderable=False)
    on = Day(verbose_name="Day")
    who = tables.Column(verbose_name="From or to")
    total = tables.Column(verbose_name="Comes to", attrs=NUMBER, empty_values=())
    paid = tables.Column(attrs=NUMBER)
    left = tables.Column(verbose_name="Open", attrs=NUMBER, empty_values=())

    def render_paper(self, value):
        return format_html('<a href="{}">{}</a>', value.get_absolute_url(), value)

    def render_total(self, value):
        return in_cents(value)

    def render_paid(self, value):
        return in_cents(value)

    def render_left(self, value):
        return in_cents(value)
