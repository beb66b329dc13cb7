"""How prices and their shares are written on a page."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from django import template
from django.utils.html import format_html

from costing.templatetags.costs import cost
from production.quantities.domain.numbers import grouped
from production.templatetags.formatting import money

DASH = "\u2013"
register = template.Library()


def _known(value):
    """None also for what a template makes of a missing row's figure: empty text."""
    return None if value == "" else value


def _places(value, step):
    if isinstance(value, Fraction):
        value = Decimal(value.numerator) / value.denominator
    return Decimal(value).quantize(Decimal(step), ROUND_HALF_UP)


@register.filter
def cents(value, currency=""):
    """Money to the cent; what is not known is said, never zero."""
    value = _known(value)
    return money(value if value is None else _places(value, "0.01"), currency)


@register.filter
def exactly(value, currency=""):
    """A cost of one to nine places, as the value is kept."""
    value = _known(value)
    return money(value if value is None else _places(value, "0.000000001"), currency)


@register.filter
def share(value):
    """A share in percent to one place, so that a column lines up."""
    if _known(value) is None:
        return DASH
    text = grouped(_places(value * 100, "0.1"), places=True)
    return format_html('<span class="figure">{} <small>%</small></span>', text)


@register.filter
def said(row):
    """A price as its channel says it, with its tax or without."""
    return "with sales tax" if row.tax_inside else "without sales tax"


@register.filter
def fine(value):
    """A difference of costs to four places, so that a column lines up and adds up."""
    value = _known(value)
    return cost(value if value is None else _places(value, "0.0001"))


@register.filter
def figured(value):
    """A figure of what moved, to two places, or four where it is small."""
    if _known(value) is None:
        return DASH
    return grouped(_places(value, "0.01" if abs(value) >= 1 else "0.0001"), places=True)


@register.filter
def bare(value):
    """Money to the cent as the text of a picture, without its currency."""
    if _known(value) is None:
        return DASH
    return grouped(_places(value, "0.01"), places=True)
