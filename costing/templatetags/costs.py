"""How a planned cost is written on a page."""

from django import template
from django.utils.html import format_html

register = template.Library()


@register.filter
def cost(value, currency=""):
    """Four places, so that a column lines up; a missing one is unknown, never zero."""
    if value is None:
        return "unknown"
    text = f"{value:,.4f}".replace("-", "\N{MINUS SIGN}")
    return format_html(
        '<span class="figure">{} <small>{}</small></span>', text, currency
    )
