"""Paths of what the bottle says, and the sheets that it is printed on."""

from django.urls import path

from labels import views
from production.stock.urls import LOT

urlpatterns = [
    path(f"{LOT}/ingredients/", views.lot_ingredients, name="lot-ingredients"),
    path(f"{LOT}/label/", views.lot_label, name="lot-label"),
    path(f"{LOT}/label.pdf", views.lot_label_pdf, name="lot-label-pdf"),
    path("items/<int:pk>/label/", views.item_label, name="item-label"),
    path("items/<int:pk>/label.pdf", views.item_label_pdf, name="item-label-pdf"),
    path("items/<int:pk>/label-card/", views.label_card, name="label-card"),
    path("sheets/", views.sheets, name="sheets"),
    path("sheets/add/", views.sheet_add, name="sheet-add"),
    path("sheets/<int:pk>/change/", views.sheet_change, name="sheet-change"),
]
