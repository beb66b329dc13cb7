"""Paths of lots and what is done to them, of items and of places."""

from django.urls import path

from production.lots.views import items, lot_deeds, lots, packs
from production.stock.urls import BATCH, LOT

urlpatterns = [
    path("lots/", lots.lots, name="lots"),
    path("lots/filled/", lots.filled, name="filled"),
    path(f"{LOT}/", lots.lot, name="lot"),
    path(f"{LOT}/measure/", lot_deeds.measure, name="lot-measure"),
    path(f"{LOT}/open-pack/", packs.open_pack, name="lot-open"),
    path(f"{LOT}/release/", lot_deeds.release, name="lot-release"),
    path(f"{LOT}/hold/", lot_deeds.hold, name="lot-hold"),
    path(f"{LOT}/reject/", lot_deeds.reject, name="lot-reject"),
    path(f"{LOT}/reweigh/", lot_deeds.reweigh, name="lot-reweigh"),
    path(f"{LOT}/give/", lot_deeds.give, name="lot-give"),
    path(f"{LOT}/discard/", lot_deeds.discard, name="lot-discard"),
    path(f"{LOT}/move/", lot_deeds.move, name="lot-move"),
    path(f"{BATCH}/measure/", lot_deeds.measure_batch, name="batch-measure"),
    path("entries/<int:pk>/answer/", lot_deeds.answer, name="entry-answer"),
    path("items/", items.items, name="items"),
    path("items/add/", items.item_add, name="item-add"),
    path("items/<int:pk>/", items.item, name="item"),
    path("items/<int:pk>/names/", items.item_names, name="item-names"),
    path("items/<int:pk>/change/", items.item_change, name="item-change"),
    path("places/", lots.places, name="places"),
    path("places/add/", lots.place_add, name="place-add"),
    path("places/<int:pk>/change/", lots.place_change, name="place-change"),
]
