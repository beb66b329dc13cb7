"""How figures and states are written on a page."""

from decimal import ROUND_HALF_UP, Decimal

from django import template
from django.utils.html import format_html

from production.quantities.domain.numbers import as_weighed, cents, grouped, plain
from production.record.reads.clock import told_at

register = template.Library()


@register.filter
def amount(value, unit="g"):
    """A figure with its unit small beside it; a missing one is a dash, never zero."""
    if value is None or value == "":
        return "\u2013"
    words = {"piece": "pc" if value == 1 else "pcs"}.get(str(unit), str(unit))
    return format_html(
        '<span class="figure">{} <small>{}</small></span>',
        grouped(Decimal(value)),
        words,
    )


@register.filter
def percent(value):
    if value is None or value == "":
        return "\u2013"
    return format_html(
        '<span class="figure">{} <small>%</small></span>', grouped(value * 100)
    )


@register.filter
def weighed(value, unit="g"):
    """As a kitchen balance shows it: 0.1 g from 100 g up, 0.01 g below."""
    if value is None:
        return "\u2013"
    return amount(as_weighed(value), unit)


@register.filter
def figure(value, unit):
    """A share in percent, grams as weighed, anything else to one place."""
    if value is None:
        return "\u2013"
    if unit == "share":
        return about(value)
    if unit in ("g", "piece"):
        return weighed(value, unit)
    return amount(value.quantize(Decimal("0.1"), ROUND_HALF_UP), unit)


@register.filter
def about(value):
    """A share in percent to one place."""
    if value is None:
        return "\u2013"
    return percent((value).quantize(Decimal("0.001"), ROUND_HALF_UP))


@register.filter
def bar(figure):
    """A share drawn: its range as a bar, its typical value as a stroke."""
    low, high = (round(end * 100, 2) for end in (figure.low, figure.high))
    typical = figure.typical
    at = "-9" if typical is None else plain(round(typical * 100, 2))
    return format_html(
        '<svg viewBox="0 0 100 12" preserveAspectRatio="none" aria-hidden="true">'
        '<path class="axis" d="M0 11.5H100"></path>'
        '<rect x="{}" y="2" width="{}" height="8"></rect>'
        '<path class="typical" d="M{} 0V12"></path></svg>',
        plain(low),
        plain(max(high - low, Decimal("0.4"))),
        at,
    )


@register.filter
def tenth(value):
    """A figure to one place."""
    return (
        "\u2013"
        if value is None
        else grouped(value.quantize(Decimal("0.1"), ROUND_HALF_UP))
    )


@register.filter
def money(value, currency=""):
    """At least two places, so that columns line up."""
    if value is None or value == "":
        return "unknown"
    text = grouped(value)
    whole, _, part = text.partition(".")
    # Three places could be a thousand to who copies them into a box.
    part = f"{part}0" if len(part) == 3 else f"{part:0<2}"
    return format_html(
        '<span class="figure">{} <small>{}</small></span>',
        f"{whole}.{part}",
        currency,
    )


@register.filter
def in_cents(value, currency=""):
    """Money of a sum, to the cent."""
    if value is None or value == "":
        return "unknown"
    return format_html(
        '<span class="figure">{} <small>{}</small></span>',
        grouped(cents(value), places=True),
        currency,
    )


@register.filter
def unsigned(value):
    """Where words say already which way the money goes."""
    return abs(value)


@register.filter
def sixth(value):
    """A unit cost to the sixth place, so that a column lines up."""
    return f"{value:.6f}"


@register.filter
def state(word):
    """The word of a status with its mark: colour never speaks alone."""
    word = word or "no status"
    mark = word.replace(" ", "-")
    return format_html('<span class="state {}">{}</span>', mark, word)


@register.filter
def told(moment):
    """When something was written, by the workshop's own clock."""
    return told_at(moment)
