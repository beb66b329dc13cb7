"""Readings and entries in words."""

from django import template

from production.quantities.domain.numbers import grouped, plain
from production.stock.domain.checks import OF_ALKALI
from production.stock.models.lots import TAKEN_BACK_WHOLE, Movement
from production.stock.models.readings import Measurement
from production.templatetags.formatting import percent

register = template.Library()


@register.filter
def limit(check, which):
    """One limit of a check, in percent where it is a share."""
    value = getattr(check, which)
    if value is None:
        return "\u2013"
    return percent(value) if check.what in Measurement.SHARES else grouped(value)


@register.filter
def is_check(measurement):
    """Whether it is a check of alkali, which is taken back on a page of its own."""
    return measurement.passed is not None and measurement.what in OF_ALKALI


@register.filter
def whole(entry):
    """Whether an entry is only taken back with its whole deed: it has another half."""
    half = entry.kind == Movement.Kind.DISCARDED and entry.sale_line_id
    return bool(half) or entry.kind in TAKEN_BACK_WHOLE


@register.filter
def reading(measurement):
    """What a measurement says, in words."""
    parts = []
    if measurement.value is not None:
        if measurement.what in Measurement.SHARES:
            parts.append(f"{plain(measurement.value * 100)} %")
        else:
            parts.append(plain(measurement.value))
    if measurement.passed is not None:
        parts.append("passed" if measurement.passed else "not passed")
    if measurement.method:
        spots = measurement.method == Measurement.Method.DROP_TEST
        at = f"{' at' if spots else ':'} {measurement.where}" * bool(measurement.where)
        parts.append(f"{measurement.get_method_display()}{at}")
    if measurement.sampled == Measurement.Sampled.BEFORE:
        parts.append("sampled before something went in")
    if measurement.note:
        parts.append(measurement.note)
    return ", ".join(parts)
