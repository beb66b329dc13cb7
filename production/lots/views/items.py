"""Materials and products, and the lots there are of each."""

from django.db.models import OuterRef, Subquery, Sum, Value
from django.db.models.functions import Coalesce
from django.shortcuts import get_object_or_404
from django.urls import reverse

from production.contents.reads.open_batches import in_open_batches
from production.lots.filters import ItemFilter, LotFilter
from production.lots.tables import Items, Lots
from production.pages.views.pages import card_page, list_page, signed_page
from production.quantities.domain.numbers import plain
from production.quantities.fields import QuantityField
from production.recipes.domain.mixing import SOAP_PH
from production.record.models.ink import Restated
from production.record.reads.restated import history_of
from production.stock.models.counts import Stock
from production.stock.views.lots import listed_lots
from production.workshop.actions.items import enter_item, restate_item
from production.workshop.actions.mixtures import write_mixture
from production.workshop.forms.cards import ItemForm
from production.workshop.forms.mixtures import MixtureForm
from production.workshop.models.items import Item
from production.workshop.reads.roles import role_of


def with_on_hand():
    total = (
        Stock.objects.filter(lot__item=OuterRef("pk"))
        .order_by()
        .values("lot__item")
        .annotate(total=Sum("amount"))
        .values("total")
    )
    return Item.objects.annotate(
        on_hand=Coalesce(Subquery(total), Value(0, QuantityField()))
    )


def items(request):
    return list_page(
        request,
        Items,
        with_on_hand(),
        ItemFilter,
        title="Items",
        says="Materials, packaging, and what is made here.",
        act=True,
    )


def item(request, pk):
    found = get_object_or_404(
        Item.objects.select_related("oil", "name_on_label"), pk=pk
    )
    return list_page(
        request,
        Lots,
        listed_lots().filter(item=found).order_by("-id"),
        LotFilter,
        template="production/lots/item.html",
        title=found.name,
        item=found,
        open=in_open_batches(found.lots.values_list("pk", flat=True)),
        works=_works(found),
        remark=_at_the_ph_of_soap(found),
        change=reverse("item-change", args=[found.pk]),
        role=role_of(found),
        mixture=found.mixture.all(),
        restated=history_of(Restated.Of.ITEM, found.pk),
    )


def _works(found):
    """From and up to which pH, as far as its card says."""
    ends = (("from", found.ph_low), ("up to", found.ph_high))
    return " ".join(f"{word} pH {plain(ph)}" for word, ph in ends if ph is not None)


def _at_the_ph_of_soap(found):
    """What a preservative's card says of its work in soap; "" where nothing."""
    if found.category != Item.Category.PRESERVATIVE or found.ph_high is None:
        return ""
    low, high = SOAP_PH
    if found.ph_high >= low:
        return ""
    return (
        f"It works up to pH {plain(found.ph_high)}; soap stands at about {plain(low)} "
        f"to {plain(high)}: it does not protect it."
    )


def item_add(request):
    return signed_page(
        request,
        ItemForm(request.POST or None),
        enter_item,
        title="Add an item",
        says="Anything a lot can be of: a material, packaging, something made here.",
        button="Add the item",
    )


def item_change(request, pk):
    shown = get_object_or_404(Item, pk=pk)
    return signed_page(
        request,
        ItemForm(request.POST or None, instance=shown),
        restate_item,
        record=(Restated.Of.ITEM, pk),
        # A fresh row: the form has written its answers on the one it shows.
        extra={"item": get_object_or_404(Item, pk=pk)},
        title=f"Change {shown.name}",
        button="Write the card",
    )


def item_names(request, pk):
    """What an item is made of, where a label names several things."""
    shown = get_object_or_404(Item, pk=pk)
    rows = [{"name": one.inci, "share": one.share} for one in shown.mixture.all()]
    return card_page(
        request,
        MixtureForm(request.POST or None, rows={"parts": rows}),
        write_mixture,
        extra={"item": shown},
        title=f"What {shown.name} is made of",
        says="For what was bought ready mixed, as a preservative or a blend: each name "
        "on the label, with its share of the item. Together they are 100 %.",
        button="Write the names",
        done=f"The names of {shown.name} are written.",
    )
