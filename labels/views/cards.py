"""The cards behind the labels: what they say, and the sheets they are printed on."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render

from labels.actions import cards as actions
from labels.domain.sheets import PRESETS
from labels.files import faces, ruler_pdf
from labels.forms.cards import (
    LabelAddressForm,
    LabelCardForm,
    LabelTextForm,
    SheetForm,
)
from labels.forms.sheets import RollForm
from labels.models import NUMBERS, LabelAddress, LabelCard, LabelText, Sheet
from labels.reads.facts import card_of
from labels.reads.marks import own_mark
from labels.reads.rules import rule_sets, words
from labels.views.answers import pdf_answer
from labels.views.labels import label_address
from production.models import Item, Lot
from production.pages.views.pages import card_page
from production.quantities.domain.numbers import whole_number
from production.record.reads.countries import countries


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


def label_text_add(request, pk):
    """The card in one more language."""
    item = get_object_or_404(Item, pk=pk)
    card = LabelCard.objects.filter(item=item).first()
    if card is None:
        messages.error(request, "Write the label card first, then its other languages.")
        return redirect("label-card", item.pk)
    first = {"language": request.GET.get("language", "")}
    return card_page(
        request,
        LabelTextForm(request.POST or None, initial=first),
        actions.write_label_text,
        extra={"card": card, "faces": faces()},
        **_of_text(card),
        button="Add this language",
    )


def label_text_change(request, pk):
    text = get_object_or_404(LabelText, pk=pk)
    return card_page(
        request,
        LabelTextForm(request.POST or None, instance=text),
        actions.write_label_text,
        # A fresh row: the form has written its answers on the one it shows.
        extra={
            "card": text.card,
            "text": get_object_or_404(LabelText, pk=pk),
            "faces": faces(),
        },
        **_of_text(text.card),
        button="Write it",
    )


def _of_text(card):
    named = words()[card.language].called if card.language in words() else card.language
    return {
        "title": f"{card.item} in another language",
        "says": f"The card itself is written in {named}.",
        "to": lambda text: label_address("", card.item, None),
    }


def label_addresses(request):
    return render(
        request,
        "labels/addresses.html",
        {
            "addresses": [
                (row, rule_sets()[row.rules].title, countries().get(row.country))
                for row in LabelAddress.objects.all()
                if row.rules in rule_sets()
            ]
        },
    )


def label_address_add(request):
    first = {"rules": request.GET.get("rules", "")}
    return card_page(
        request,
        LabelAddressForm(request.POST or None, initial=first),
        actions.write_label_address,
        **OF_ADDRESS,
        title="Responsible person or importer",
        button="Add the address",
    )


def label_address_change(request, pk):
    row = get_object_or_404(LabelAddress, pk=pk)
    return card_page(
        request,
        LabelAddressForm(request.POST or None, instance=row),
        actions.write_label_address,
        extra={"address": get_object_or_404(LabelAddress, pk=pk)},
        **OF_ADDRESS,
        title=f"Change {row}",
        button="Write the address",
    )


OF_ADDRESS = {
    "says": "Who stands on every label under these rules beside the workshop, or "
    "instead of it: the responsible person in the Union or the UK, who imports or "
    "distributes it.",
    "to": "label-addresses",
}


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
