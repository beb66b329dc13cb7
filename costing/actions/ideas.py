"""A product that does not exist: written down, changed, priced, copied, thrown away.

A working paper and no entry: nothing in the book follows from it, so no deed stands
behind it and it may go as it came.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Max

from costing.domain.ideas import From, Place, Quote
from costing.models import IdeaMaterial, ProductIdea
from production.models import Item, ReferenceOil
from production.quantities.domain.refusal import Refused
from production.record.actions.cards import save_card
from production.record.actions.deeds import written

QUOTE = IdeaMaterial.From.QUOTE


@dataclass(frozen=True, slots=True)
class NewPrice:
    """Which price of a material counts; ``typed`` is the quote as it was said."""

    price_from: From = "last"
    quote: Quote | None = None
    typed: str = ""


@dataclass(frozen=True, slots=True)
class NewMaterial:
    """A line of an idea: a card, a published oil, or a name alone."""

    place: Place
    name: str
    item: Item | None = None
    oil: ReferenceOil | None = None
    share: Decimal | None = None
    each: Decimal | None = None
    price: NewPrice = NewPrice()


@transaction.atomic
def write_idea(
    *,
    materials: Sequence[NewMaterial],
    variant_of: ProductIdea | None = None,
    **facts: Any,
) -> ProductIdea:
    """Write a new one down. ``facts`` are the fields of its card."""
    row: ProductIdea = save_card(ProductIdea(variant_of=variant_of, **facts))
    _lay_down(row, materials)
    return row


@transaction.atomic
def change_idea(
    *, idea: ProductIdea, materials: Sequence[NewMaterial], **facts: Any
) -> ProductIdea:
    """Say it anew; the prices of what goes in by itself stay as they were chosen."""
    if not ProductIdea.objects.filter(pk=idea.pk).exists():
        raise Refused(f"{idea} was thrown away in between: write it down anew.")
    for name, value in facts.items():
        setattr(idea, name, value)
    save_card(idea, [*facts])
    idea.materials.exclude(place="price").delete()
    # A price that is said beside the material itself counts from now on.
    said = [one.name for one in materials if one.price.price_from != "last"]
    idea.materials.filter(item__name__in=said).delete()
    _lay_down(idea, materials)
    return idea


def _lay_down(idea: ProductIdea, materials: Sequence[NewMaterial]) -> None:
    last = idea.materials.aggregate(last=Max("position"))["last"] or 0
    for position, one in enumerate(materials, start=last + 1):
        row = IdeaMaterial(
            idea=idea,
            position=position,
            place=one.place,
            name=one.name,
            item=one.item,
            oil=one.oil,
            share=one.share,
            each=one.each,
        )
        _say_price(row, one.price)
        written(row)


def _say_price(row: IdeaMaterial, price: NewPrice) -> None:
    row.price_from = price.price_from
    row.quote_amount = price.quote.amount if price.quote else None
    row.quote_price = price.quote.price if price.quote else None
    row.quote_typed = price.typed
    if row.price_from == QUOTE and price.quote is None:
        raise Refused(f"Write the quote for {row.called}, such as 35 lb for 78.50.")


@transaction.atomic
def price_idea(*, idea: ProductIdea, prices: Mapping[str, NewPrice]) -> ProductIdea:
    """Choose which price of each material counts, by its name as the plan says it."""
    rows = list(idea.materials.select_related("item", "oil"))
    for name, price in prices.items():
        same = [row for row in rows if row.called == name]
        if not same:
            item = Item.objects.filter(name=name).first()
            same = [IdeaMaterial(idea=idea, place="price", name=name, item=item)]
            same[0].position = max((row.position for row in rows), default=0) + 1
            rows += same
        for row in same:
            _say_price(row, price)
            written(row)
    return idea


@transaction.atomic
def copy_idea(*, idea: ProductIdea, name: str, variant: bool) -> ProductIdea:
    """The same once more under another name; a variant is laid beside the first."""
    root = (idea.variant_of or idea) if variant else None
    facts = {
        field.name: getattr(idea, field.name)
        for field in ProductIdea._meta.concrete_fields
        if field.name not in ("id", "name", "variant_of", "recipe")
    }
    row: ProductIdea = save_card(ProductIdea(name=name, variant_of=root, **facts))
    for one in idea.materials.all():
        one.pk, one._state.adding, one.idea = None, True, row
        written(one)
    return row


@transaction.atomic
def delete_idea(*, idea: ProductIdea) -> None:
    """Throw it away; its variants stay, beside the first of them."""
    rest = list(idea.variants.order_by("pk"))
    for one in rest[1:]:
        one.variant_of = rest[0]
        save_card(one)
    idea.delete()
