"""Paths of what the bottle says; a lot's code stands last, whatever is in it."""

from django.urls import path

from labels import views
from production.urls import CODE

urlpatterns = [
    path(f"ingredients/{CODE}/", views.lot_ingredients, name="lot-ingredients"),
    path(f"label/{CODE}/", views.lot_label, name="lot-label"),
    path(f"label-pdf/{CODE}/", views.lot_label_pdf, name="lot-label-pdf"),
    path("label-of/<int:pk>/", views.item_label, name="item-label"),
    path("label-of-pdf/<int:pk>/", views.item_label_pdf, name="item-label-pdf"),
    path("label-card/<int:pk>/", views.label_card, name="label-card"),
    path("sheets/", views.sheets, name="sheets"),
    path("sheets/add/", views.sheet_add, name="sheet-add"),
    path("sheets/<int:pk>/change/", views.sheet_change, name="sheet-change"),
]
