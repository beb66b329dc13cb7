"""The lot that an address names."""

from django.shortcuts import get_object_or_404

from production.stock.models.lots import Lot


def listed_lots():
    return Lot.objects.with_on_hand().with_status().select_related("item", "batch")


def the_lot(code):
    return get_object_or_404(
        Lot.objects.select_related("item", "batch__version"), code=code
    )
