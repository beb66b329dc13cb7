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
        accessor="known_cost", attrs=NUMBER, orderable=False, empty_values=()
    )

    class Meta(House.Meta):
        model = ProductIdea
        fields = ("name", "beside", "pieces", "bottle")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        workshop = Workshop.objects.first()
        currency = workshop.currency if workshop else "USD"
        self.columns["bottle"].column.verbose_name = f"One bottle, {currency}"

    def render_pieces(self, value):
        return amount(value, "piece")

    def render_bottle(self, record):
        planned = self.planned[record.pk]
        if isinstance(planned, Refused):
            return "cannot be worked out yet"
        cost = money(cents(planned.known))
        return format_html("at least {}", cost) if planned.missing else cost

    def before_render(self, request):
        """Plan all that is shown at once; ``known_cost`` is the figure of a sheet."""
        page = getattr(self, "page", None)
        rows = [row.record for row in (page.object_list if page else self.rows)]
        self.planned = {}
        for row, planned in zip(rows, planned_bottles(rows), strict=True):
            self.planned[row.pk] = planned
            row.known_cost = None
            if not isinstance(planned, Refused) and not planned.missing:
                row.known_cost = cents(planned.known)
