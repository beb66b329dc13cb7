"""How a planned cost is written on a page."""

from decimal import ROUND_HALF_EVEN

from django import template
from django.utils.html import format_html

from production.quantities.domain.numbers import MONEY_STEP, grouped

register = template.Library()


@register.filter
def cost(value, currency=""):
    """Four places, so that a column lines up; a missing one is unknown, never zero."""
    if value is None:
        return "unknown"
    text = grouped(value.quantize(MONEY_STEP, ROUND_HALF_EVEN), places=True)
    return format_html(
        '<span class="figure">{} <small>{}</small></span>', text, currency
    )
