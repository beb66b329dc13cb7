"""What an act was about, as links."""

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join

from production.correcting.reads.about import RATES as RATED
from production.correcting.reads.about import named_in

register = template.Library()

PAGES = {
    "purchase": "purchase",
    "supplier": "supplier",
    "sale": "sale",
    "customer": "customer",
    "version": "version",
    "batch": "batch",
    "trial": "batch",
    "lot": "lot",
    "item": "item",
    "person": "person",
    "rule": "hint-change",
}
# What speaks for itself by its own page's head, or by the verb of the act.
PLAIN = {"lot", "supplier", "customer", "person", "version", "item"}
MOST = 5
RATES = {kind for kind, _ in RATED.values()}


def called(named):
    """Its name, with what it is where the name does not say that."""
    return named.name if named.kind in PLAIN else f"{named.kind} {named.name}"


def link(named):
    """The same, leading to its page."""
    words = called(named)
    if named.kind == "place":
        page = f"{reverse('places')}?place={named.key}"
    elif named.kind == "backup of":
        page = reverse("restored")
    elif named.kind in RATES:
        page = reverse("rates")
    elif named.kind in PAGES:
        page = reverse(PAGES[named.kind], args=[named.key])
    else:
        return format_html("{}", words)
    return format_html('<a href="{}">{}</a>', page, words)


def links(named, deed=None):
    """The first few as links; ``deed`` leads on to the page that has all of them."""
    few = named if deed is None or len(named) <= MOST + 1 else named[:MOST]
    shown = format_html_join(" ", "{}", ((link(one),) for one in few))
    if len(few) == len(named):
        return shown
    page, more = reverse("deed", args=[deed]), len(named) - len(few)
    return format_html('{} <a href="{}">and {} more</a>', shown, page, more)


@register.simple_tag
def about(deed):
    """All that one act names."""
    return links(named_in([deed]).get(deed.pk, []))
