"""Paths of what the bottle says, and the sheets that it is printed on."""

from django.urls import path

from labels.views import cards, labels, marks, runs
from production.stock.urls import LOT

urlpatterns = [
    path(f"{LOT}/ingredients/", labels.lot_ingredients, name="lot-ingredients"),
    path(f"{LOT}/label/", labels.lot_label, name="lot-label"),
    path(f"{LOT}/label.pdf", labels.lot_label_pdf, name="lot-label-pdf"),
    path("items/<int:pk>/label/", labels.item_label, name="item-label"),
    path("items/<int:pk>/label.pdf", labels.item_label_pdf, name="item-label-pdf"),
    path("items/<int:pk>/label-card/", cards.label_card, name="label-card"),
    path("sheets/", cards.sheets, name="sheets"),
    path("sheets/add/", cards.sheet_add, name="sheet-add"),
    path("sheets/add-roll/", cards.roll_add, name="sheet-add-roll"),
    path("sheets/<int:pk>/ruler.pdf", cards.sheet_ruler, name="sheet-ruler"),
    path("sheets/<int:pk>/lots/", runs.sheet_lots, name="sheet-lots"),
    path("sheets/<int:pk>/lots.pdf", runs.sheet_lots_pdf, name="sheet-lots-pdf"),
    path("items/<int:pk>/mark/", marks.item_mark, name="item-mark"),
    path("workshop/mark/", marks.workshop_mark, name="workshop-mark"),
    path(f"{LOT}/stick-over/", runs.lot_stick_over, name="lot-stick-over"),
    path(f"{LOT}/stick-over.pdf", runs.lot_stick_over_pdf, name="lot-stick-over-pdf"),
    path("sheets/<int:pk>/change/", cards.sheet_change, name="sheet-change"),
]
