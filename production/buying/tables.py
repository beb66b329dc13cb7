"""The lists of purchases and suppliers."""

import django_tables2 as tables

from production.buying.models import Purchase, Supplier
from production.pages.tables import Count, Day, House, Link, Stands


class Purchases(House):
    empty_words = "Nothing was bought yet."
    fill, fill_words = "purchase-record", "Record a purchase"
    number = Link()
    supplier = tables.Column(linkify=True)
    arrived = Day()
    invoiced = Day()
    lines = Count(accessor="line_count", verbose_name="Lines")
    unpriced = Count(verbose_name="Without a price")
    stands = Stands()

    class Meta(House.Meta):
        model = Purchase
        fields = (
            "number",
            "supplier",
            "arrived",
            "invoiced",
            "lines",
            "unpriced",
            "stands",
        )


class Suppliers(House):
    empty_words = "No supplier is known yet."
    fill, fill_words = "supplier-add", "Add a supplier"
    name = Link()
    purchases = Count(accessor="purchase_count", verbose_name="Purchases")

    class Meta(House.Meta):
        model = Supplier
        fields = ("name", "contact", "purchases")
