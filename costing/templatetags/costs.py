"""How a planned cost is written on a page."""

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

from django import template
from django.utils.html import format_html

from costing.domain.figures import money_of
from production.quantities.domain.numbers import MONEY_STEP, grouped, plain
from production.templatetags.formatting import about, amount

CENT, MIL = Decimal("0.01"), Decimal("0.001")
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


@register.filter
def nano(value):
    """Whole nano to nine places; None is unknown."""
    return "unknown" if value is None else money_of(value)


@register.filter
def signed(value):
    """Money to the cent with its sign: how much more, or less."""
    return (
        f"+{grouped(value, places=True)}" if value > 0 else grouped(value, places=True)
    )


@register.filter
def tenth(value):
    """How much more a tenth costs, to a tenth of a cent; never as nothing."""
    if 0 < value < MIL / 2:
        return f"under +{MIL}"
    return f"+{grouped(value.quantize(MIL, ROUND_HALF_UP), places=True)}"


@register.filter
def part(value):
    """A share in percent to one place; never as nothing where it is something."""
    return "under 0.1 %" if value and 0 < value < MIL / 2 else about(value)


@register.filter
def plainly(value):
    """A figure as an address carries it."""
    return plain(value)


@register.filter
def taken(value, unit):
    """What one piece takes: to 0.1 g from 10 g up, else to 0.001; pieces as counted."""
    if unit == "batch":
        return "\u2013"
    step = "0.1" if abs(value) >= 10 else "0.001"
    return amount(value.quantize(Decimal(step), ROUND_HALF_UP), unit)


@register.filter
def cent(value, currency=""):
    """A unit cost to the cent; one that would show as nothing says it is less."""
    if value is None:
        return "unknown"
    shown = value.quantize(CENT, ROUND_HALF_UP)
    less = "under " if value > 0 and not shown else ""
    text = grouped(shown or CENT if less else shown, places=True)
    return format_html(
        '<span class="figure">{}{} <small>{}</small></span>', less, text, currency
    )
