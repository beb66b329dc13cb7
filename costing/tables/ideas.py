"""The list of products that do not exist."""

import django_tables2 as tables
from django.utils.html import format_html

from costing.domain.idea_pictures import cents
from costing.models import ProductIdea
from costing.reads.planned_bottle import planned_bottles
from costing.tables.value import NUMBER
from production.models import Workshop
from production.pages.tables import Count, House, Link
from production.quantities.domain.refusal import Refused
from production.templatetags.formatting import amount, money


class Ideas(House):
    empty_words = "Nothing is thought of yet."
    fill, fill_words = "idea-start", "Cost a product that does not exist"
    name = Link()
    beside = tables.Column(accessor="variant_of", verbose_name="Variant of")
    pieces = Count(verbose_name="Made together")
    bottle = tables.Column(
        accessor="name", verbose_name="One bottle", attrs=NUMBER, orderable=False
    )

    class Meta(House.Meta):
        model = ProductIdea
        fields = ("name", "beside", "pieces", "bottle")

    def render_pieces(self, value):
        return amount(value, "piece")

    def render_bottle(self, record):
        planned = self.planned[record.pk]
        if isinstance(planned, Refused):
            return "cannot be worked out yet"
        cost = money(cents(planned.known), self.currency)
        return format_html("at least {}", cost) if planned.missing else cost

    def before_render(self, request):
        """Plan all that is shown at once."""
        page = getattr(self, "page", None)
        rows = [row.record for row in (page.object_list if page else self.rows)]
        workshop = Workshop.objects.first()
        self.currency = workshop.currency if workshop else "USD"
        keys = (row.pk for row in rows)
        self.planned = dict(zip(keys, planned_bottles(rows), strict=True))
