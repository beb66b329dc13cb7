"""Paths of what the bottle says, and the sheets that it is printed on."""

from django.urls import path

from labels.views import (
    assessments,
    both,
    cards,
    issued,
    kinds,
    labels,
    marks,
    runs,
    shop,
)
from production.stock.urls import LOT

urlpatterns = [
    path(f"{LOT}/ingredients/", labels.lot_ingredients, name="lot-ingredients"),
    path(f"{LOT}/label/", labels.lot_label, name="lot-label"),
    path(f"{LOT}/label.pdf", labels.lot_label_pdf, name="lot-label-pdf"),
    path(f"{LOT}/shop/", shop.lot_shop, name="lot-shop"),
    path(f"{LOT}/us-and-canada/", both.lot_both, name="lot-both"),
    path(
        f"{LOT}/composition.pdf",
        assessments.lot_composition,
        name="lot-composition",
    ),
    path(
        "items/<int:pk>/composition.pdf",
        assessments.item_composition,
        name="item-composition",
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
    path(f"{LOT}/issue-label/", issued.lot_issue, name="lot-label-issue"),
    path(f"{LOT}/approve-label/", issued.lot_approve, name="lot-label-approve"),
    path("items/<int:pk>/issue-label/", issued.item_issue, name="item-label-issue"),
    path("labels/issued/", issued.issued_labels, name="labels-issued"),
    path("labels/outdated/", issued.labels_outdated, name="labels-outdated"),
    path("labels/issued/<int:pk>/", issued.issued_label, name="label-issued"),
    path("labels/issued/<int:pk>/label.pdf", issued.issued_pdf, name="label-file"),
    path("labels/issued/<int:pk>/again/", issued.issued_again, name="label-again"),
    path("labels/issued/<int:pk>/count/", issued.issued_count, name="label-count"),
    path(
        "labels/issued/<int:pk>/take-back/",
        issued.issued_withdraw,
        name="label-take-back",
    ),
    path(
        "labels/issued/<int:pk>/against/<int:other>/",
        issued.issued_against,
        name="label-against",
    ),
    path(
        "items/<int:pk>/label-text/add/",
        cards.label_text_add,
        name="item-label-text-add",
    ),
    path(
        "labels/texts/<int:pk>/change/",
        cards.label_text_change,
        name="label-text-change",
    ),
    path("labels/addresses/", cards.label_addresses, name="label-addresses"),
    path("labels/addresses/add/", cards.label_address_add, name="label-address-add"),
    path(
        "labels/addresses/<int:pk>/change/",
        cards.label_address_change,
        name="label-address-change",
    ),
    path("sheets/", cards.sheets, name="sheets"),
    path("sheets/add/", cards.sheet_add, name="sheet-add"),
    path("sheets/add-roll/", cards.roll_add, name="sheet-add-roll"),
    path("sheets/<int:pk>/ruler.pdf", cards.sheet_ruler, name="sheet-ruler"),
    path("sheets/<int:pk>/lots/", runs.sheet_lots, name="sheet-lots"),
    path("sheets/<int:pk>/lots.pdf", runs.sheet_lots_pdf, name="sheet-lots-pdf"),
    path("sheets/<int:pk>/issue/", runs.sheet_lots_issue, name="sheet-lots-issue"),
    path("items/<int:pk>/mark/", marks.item_mark, name="item-mark"),
    path("workshop/mark/", marks.workshop_mark, name="workshop-mark"),
    path(f"{LOT}/stick-over/", runs.lot_stick_over, name="lot-stick-over"),
    path(
        f"{LOT}/issue-stick-over/",
        runs.lot_stick_over_issue,
        name="lot-stick-over-issue",
    ),
    path(f"{LOT}/stick-over.pdf", runs.lot_stick_over_pdf, name="lot-stick-over-pdf"),
    path("sheets/<int:pk>/change/", cards.sheet_change, name="sheet-change"),
]
