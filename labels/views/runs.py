"""Several lots on one sheet, and what goes over a label that is on the bottle."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify

from labels.domain.sheets import ensure_places
from labels.domain.stick_over import stick_over
from labels.files import Run, faces, picture, runs_pdf, sheet_pdf
from labels.files.dressing import dress_for
from labels.forms.sheets import LotsForm, StickOverForm
from labels.models import Sheet
from labels.reads.drawn import Wanted, drawn, worded
from labels.reads.facts import card_of
from labels.reads.rules import rule_set
from labels.views.answers import pdf_answer
from production.models import Lot, Workshop
from production.quantities.domain.refusal import Refused
from production.stock.reads.lookup import find_lot


def _paper():
    return Workshop.objects.values_list("paper", flat=True).first() or "A4"


def sheet_lots(request, pk):
    sheet = get_object_or_404(Sheet, pk=pk)
    form = LotsForm(request.GET if "lots" in request.GET else None)
    page = {"sheet": sheet, "form": form, "act": reverse("sheet-lots-pdf", args=[pk])}
    if form.is_valid():
        try:
            page["runs"] = _runs(form, sheet)
        except Refused as refusal:
            page["refused"] = str(refusal)
    return render(request, "labels/sheet_lots.html", page)


def sheet_lots_pdf(request, pk):
    """A look at the file, which says so across; or back to the page where what is
    wrong can be read."""
    sheet = get_object_or_404(Sheet, pk=pk)
    form = LotsForm(request.GET)
    if form.is_valid():
        try:
            runs = _runs(form, sheet)
            start = form.cleaned_data["start"]
            content = runs_pdf(
                [Run(run.drawing.looked_at(), run.count) for _, run in runs],
                sheet.geometry(),
                f"Labels of {', '.join(lot.code for lot, _ in runs)}"[:200],
                start=start,
                paper=_paper(),
            )
            return pdf_answer(content, "labels-of-lots")
        except Refused as refusal:
            messages.error(request, str(refusal))
    return redirect(f"{reverse('sheet-lots', args=[pk])}?{request.GET.urlencode()}")


def _runs(form, sheet):
    """Lots with their labels, each laid out once; refused where one is unknown."""
    geometry, found = sheet.geometry(), []
    for code, count in form.cleaned_data["lots"]:
        lot = find_lot(code)
        card = card_of(lot.item)
        wanted = Wanted(
            rules=rule_set(card.rules),
            width=geometry.label_width,
            height=geometry.label_height,
        )
        drawing, _ = drawn(card, lot, wanted, faces(), dress_for(card))
        found.append((lot, Run(drawing, count)))
    cells = sum(run.count * len(run.drawing.sides) for _, run in found)
    ensure_places(geometry, cells, form.cleaned_data["start"])
    return found


def lot_stick_over(request, code):
    lot = _lot(code)
    form = StickOverForm(request.GET, paper=_paper())
    page = {
        "lot": lot,
        "form": form,
        "act": reverse("lot-stick-over-pdf", args=[lot.code]),
    }
    if form.is_valid():
        try:
            page["drawing"] = drawing = _over(form, lot)
            page["picture"] = picture(drawing)
        except Refused as refusal:
            page["refused"] = str(refusal)
    return render(request, "labels/stick_over.html", page)


def lot_stick_over_pdf(request, code):
    lot = _lot(code)
    form = StickOverForm(request.GET, paper=_paper())
    if form.is_valid():
        facts, title = form.cleaned_data, f"{lot.item} {lot.code} over"
        try:
            content = sheet_pdf(
                _over(form, lot).looked_at(),
                facts["geometry"],
                title,
                count=facts["labels"],
                start=facts["start"],
                crop=True,
                paper=_paper(),
            )
            return pdf_answer(content, slugify(title))
        except Refused as refusal:
            messages.error(request, str(refusal))
    back = reverse("lot-stick-over", args=[lot.code])
    return redirect(f"{back}?{request.GET.urlencode()}")


def _over(form, lot):
    facts = form.cleaned_data
    card = card_of(lot.item)
    content, least = worded(card, lot, Wanted(rules=rule_set(card.rules)))
    size = facts["width"], facts["height"]
    return stick_over(content, facts["words"], *size, least, faces())


def _lot(code):
    return get_object_or_404(Lot.objects.select_related("item", "deed"), code=code)
