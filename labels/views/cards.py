"""The cards behind the labels: what they say, and the sheets they are printed on."""

from django.shortcuts import get_object_or_404, render

from labels.actions import cards as actions
from labels.domain.sheets import PRESETS
from labels.files import faces, ruler_pdf
from labels.forms.cards import LabelCardForm, SheetForm
from labels.forms.sheets import RollForm
from labels.models import NUMBERS, Sheet
from labels.reads.facts import card_of
from labels.reads.marks import own_mark
from labels.views.drawn import pdf_answer
from labels.views.labels import label_address
from production.models import Item, Lot
from production.pages.views.pages import card_page
from production.quantities.domain.numbers import whole_number


def label_card(request, pk):
    item = get_object_or_404(Item, pk=pk)
    lot = Lot.objects.filter(item=item, code=request.GET.get("lot", "")).first()
    return card_page(
        request,
        LabelCardForm(request.POST or None, instance=card_of(item)),
        actions.write_label_card,
        extra={"item": item, "faces": faces()},
        title=f"Label card of {item}",
        says="What stands on every label of it, whatever the lot.",
        button="Write the card",
        done="The card is written.",
        to=lambda card: label_address("", item, lot),
    )


def sheets(request):
    return render(
        request,
        "labels/sheets.html",
        {
            "sheets": Sheet.objects.all(),
            "presets": list(enumerate(PRESETS)),
            "mark": own_mark(None),
        },
    )


def sheet_add(request):
    start = request.GET.get("from", "")
    first = {}
    number = whole_number(start)
    if number is not None and number < len(PRESETS):
        preset = PRESETS[number]
        first = {name: getattr(preset, name) for name in NUMBERS}
    return card_page(
        request,
        SheetForm(request.POST or None, initial=first),
        actions.write_sheet,
        title="Add a sheet of labels",
        says="Its numbers in mm. Print one page on plain paper and hold it against the "
        "sheet before the sheet itself goes in.",
        button="Add the sheet",
        to="sheets",
    )


def roll_add(request):
    return card_page(
        request,
        RollForm(request.POST or None),
        actions.write_sheet,
        title="Add a roll of labels",
        says="One label a page, as wide as it.",
        button="Add the roll",
        to="sheets",
    )


def sheet_ruler(request, pk):
    return pdf_answer(ruler_pdf(get_object_or_404(Sheet, pk=pk).geometry()), "ruler")


def sheet_change(request, pk):
    shown = get_object_or_404(Sheet, pk=pk)
    return card_page(
        request,
        SheetForm(request.POST or None, instance=shown),
        actions.write_sheet,
        # A fresh row: the form has written its answers on the one it shows.
        extra={"sheet": get_object_or_404(Sheet, pk=pk)},
        title=f"Change {get_object_or_404(Sheet, pk=pk)}",
        button="Write the sheet",
        to="sheets",
    )
