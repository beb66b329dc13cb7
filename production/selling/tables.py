"""The lists of customers, sales and returns."""

import django_tables2 as tables
from django.db.models import Q
from django.urls import reverse
from django.utils.html import format_html

from production.pages.tables import Count, Day, Figure, House, Link, Stands, by_unit
from production.selling.models import Customer, Return, Sale
from production.selling.reads.places_of_sales import taken_from
from production.selling.reads.revenue import in_all, revenues_of
from production.stock.models.lots import Movement
from production.templatetags.formatting import in_cents


class Customers(House):
    empty_words = "No customer is known yet."
    fill, fill_words = "customer-add", "Add a customer"
    name = Link()
    sales = Count(accessor="sale_count", verbose_name="Sales")

    class Meta(House.Meta):
        model = Customer
        fields = ("name", "contact", "sales")


class Brought(tables.Column):
    """Money of a sale, worked out for the whole page at once."""

    attrs = {"td": {"class": "number"}, "th": {"class": "number"}}

    def __init__(self, **kwargs):
        super().__init__(accessor="pk", empty_values=(), orderable=False, **kwargs)


class Sales(House):
    empty_words = "Nothing was sold yet."
    fill, fill_words = "sale-sell", "Record a sale"
    number = Link()
    on = Day(verbose_name="Day")
    customer = tables.Column(linkify=True)
    pieces = Count(verbose_name="Lines", accessor="line_count")
    taken = tables.Column(
        accessor="pk", empty_values=(), orderable=False, verbose_name="From"
    )
    net = Brought(verbose_name="Net of tax")
    tax = Brought(verbose_name="Sales tax")
    stands = Stands()

    class Meta(House.Meta):
        model = Sale
        fields = (
            *("number", "on", "customer", "channel", "pieces", "taken"),
            *("net", "tax", "stands"),
        )

    def before_render(self, request):
        """A few queries for the places and the money of the whole page."""
        self.taken = taken_from(row.record for row in self.paginated_rows)
        self.brought = revenues_of(row.record.pk for row in self.paginated_rows)

    def _brought(self, record):
        if not hasattr(self, "brought"):
            self.brought = revenues_of(row.record.pk for row in self.rows)
        return in_all(self.brought[record.pk])

    def render_net(self, record):
        came = self._brought(record)
        return "unknown" if came.unpriced else in_cents(came.net)

    def render_tax(self, record):
        came = self._brought(record)
        return "unknown" if came.unpriced else in_cents(came.tax)

    def render_taken(self, record):
        if not hasattr(self, "taken"):
            # A sheet of all of them is not drawn.
            self.taken = taken_from(row.record for row in self.rows)
        return ", ".join(self.taken[record.pk]) or "\u2013"


class Returns(House):
    empty_words = "Nothing came back yet. Goods come back from their sale."
    fill, fill_words = "sales", "Find the sale"
    sale = tables.Column(accessor="line__sale", linkify=True, verbose_name="Sale")
    lot = tables.Column(accessor="line__lot", linkify=True, verbose_name="Batch no.")
    pieces = Figure(
        accessor="movement__amount", item="line__lot__item", verbose_name="How many"
    )
    on = Day(accessor="movement__on", verbose_name="Day")
    stands = Stands()

    class Meta(House.Meta):
        model = Return
        fields = ("number", "on", "sale", "lot", "pieces", "then", "stands")

    def render_then(self, record):
        if record.then != Return.Then.APART or not record.stands:
            return record.became
        look = reverse("return-look", args=[record.pk])
        if "looked at" not in record.became:
            return record.became
        return format_html('{} <a href="{}">Look at it</a>', record.became, look)

    def foot(self, queryset):
        back = queryset.order_by().values("movement")
        came = Movement.objects.standing().filter(Q(pk__in=back) | Q(root__in=back))
        return {"pieces": by_unit(came)}
