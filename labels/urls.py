"""Paths of what the bottle says, and the sheets that it is printed on."""

from django.urls import path

from labels.views import assessments, cards, kinds, labels
from production.stock.urls import LOT

urlpatterns = [
    path(f"{LOT}/ingredients/", labels.lot_ingredients, name="lot-ingredients"),
    path(f"{LOT}/label/", labels.lot_label, name="lot-label"),
    path(f"{LOT}/label.pdf", labels.lot_label_pdf, name="lot-label-pdf"),
    path(
        f"{LOT}/composition.pdf",
        assessments.lot_composition,
        name="lot-composition",
    ),
    path("items/<int:pk>/kind/", kinds.item_kind, name="item-kind"),
    path(
        "items/<int:pk>/assessments/",
        assessments.item_assessments,
        name="item-assessments",
    ),
    path(
        "items/<int:pk>/assessments/add/",
        assessments.assessment_add,
        name="item-assessment-add",
    ),
    path("items/<int:pk>/label/", labels.item_label, name="item-label"),
    path("items/<int:pk>/label.pdf", labels.item_label_pdf, name="item-label-pdf"),
    path("items/<int:pk>/label-card/", cards.label_card, name="label-card"),
    path("sheets/", cards.sheets, name="sheets"),
    path("sheets/add/", cards.sheet_add, name="sheet-add"),
    path("sheets/<int:pk>/change/", cards.sheet_change, name="sheet-change"),
]
