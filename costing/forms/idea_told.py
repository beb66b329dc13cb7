"""What an idea says already: its name, and the price of each of its materials."""

from typing import Any

from django.core.exceptions import ValidationError

from costing.actions.ideas import NewPrice
from costing.domain.ideas import IdeaLine, Quote, refuse_two_prices
from costing.models import ProductIdea
from costing.reads.ideas import word_of


def free_name(name, idea=None):
    """Refused where another idea bears it."""
    others = ProductIdea.objects.filter(name=name)
    if others.exclude(pk=idea.pk if idea else None).exists():
        raise ValidationError(
            f"There is an idea called {name} already: choose another name."
        )
    return name


def refuse_two_quotes(materials):
    """Of one material, told apart as the plan tells them."""
    first: dict[Any, Any] = {}
    for one in materials:
        price = one.price
        line = IdeaLine(
            one.place, one.name, price_from=price.price_from, quote=price.quote
        )
        if price.price_from != "last":
            refuse_two_prices(first.setdefault(word_of(line), line), line)


def priced_before(idea):
    """How each material of a saved idea is priced, by its name."""
    return {one.called: price_said(one) for one in idea.materials.all()}


def price_said(row):
    """The price that somebody chose for a line of an idea."""
    quote = None
    if row.quote_amount is not None:
        quote = Quote(row.quote_amount, row.quote_price)
    return NewPrice(row.price_from, quote, row.quote_typed)
