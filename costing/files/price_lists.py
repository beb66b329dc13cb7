"""A price list on paper: black on white, the same list gives the same bytes."""

from functools import cache

from django.template.loader import render_to_string

from costing.reads.price_lists import PriceList
from production.papers.files.pdf import print_pdf


def price_list_pdf(found: PriceList, title: str) -> bytes:
    """``title`` says for whom: a channel, or all of a kind."""
    paper = found.workshop.paper if found.workshop else "A4"
    words = {
        "list": found,
        "title": title,
        "currency": found.workshop.currency if found.workshop else "USD",
        "paper": {"Letter": "letter"}.get(paper, "A4"),
        "one": len(found.channels) == 1,
    }
    html = render_to_string("costing/print/price_list.html", words)
    return print_pdf(html, _style())


@cache
def _style() -> str:
    return render_to_string("costing/print/price_list.css")
