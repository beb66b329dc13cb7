"""Several lots on one sheet, and what goes over a label that is on the bottle."""

from dataclasses import replace
from functools import partial

from django.conf import settings
from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify

from labels.actions.issuing import issue_labels, issue_together
from labels.domain.label import Missing
from labels.domain.sheets import ensure_places
from labels.domain.stick_over import stick_over
from labels.files import Run, faces, picture, runs_pdf, sheet_pdf
from labels.forms.issued import SheetIssueForm
from labels.forms.sheets import LotsForm, StickOverForm
from labels.models import Sheet
from labels.reads.drawn import Wanted, worded
from labels.reads.facts import card_of, paper_in_use
from labels.reads.kind_tables import kind_book
from labels.reads.kinds import held_by, kind_for
from labels.reads.rules import rule_set
from labels.views.answers import pdf_answer
from labels.views.drawing import drawn_for, to_keep
from production.models import Lot
from production.pages.views.pages import signed_page
from production.papers.files.attachments import store
from production.quantities.domain.refusal import Refused
from production.stock.reads.lookup import find_lot


def sheet_lots(request, pk):
    sheet = get_object_or_404(Sheet, pk=pk)
    form = LotsForm(request.GET if "lots" in request.GET else None)
    page = {"sheet": sheet, "form": form, "act": reverse("sheet-lots-pdf", args=[pk])}
    if form.is_valid():
        try:
            page["runs"] = [(lot, run) for lot, run, _ in _runs(form, sheet)]
            page["clean"] = not any(run.drawing.draft for _, run in page["runs"])
            page["issuing"] = SheetIssueForm()
            to = reverse("sheet-lots-issue", args=[pk])
            page["issue"] = f"{to}?{request.GET.urlencode()}"
        except Refused as refusal:
            page["refused"] = str(refusal)
    return render(request, "labels/sheet_lots.html", page)


def sheet_lots_pdf(request, pk):
    """A look at the file, or back to the page where what is wrong can be read."""
    sheet = get_object_or_404(Sheet, pk=pk)
    form = LotsForm(request.GET)
    if form.is_valid():
        try:
            runs = _runs(form, sheet)
            start = form.cleaned_data["start"]
            content = _sheet_of(runs, sheet, start, look=True)
            return pdf_answer(content, "labels-of-lots")
        except Refused as refusal:
            messages.error(request, str(refusal))
    return redirect(f"{reverse('sheet-lots', args=[pk])}?{request.GET.urlencode()}")


def _sheet_of(runs, sheet, start, *, look):
    sides = [
        Run(run.drawing.looked_at() if look else run.drawing, run.count)
        for _, run, _ in runs
    ]
    title = f"Labels of {', '.join(lot.code for lot, _, _ in runs)}"[:200]
    return runs_pdf(sides, sheet.geometry(), title, start=start, paper=paper_in_use())


def sheet_lots_issue(request, pk):
    """Issue what the page shows: each lot gets its own row, all of them one file."""
    sheet = get_object_or_404(Sheet, pk=pk)
    form = LotsForm(request.GET)
    back = f"{reverse('sheet-lots', args=[pk])}?{request.GET.urlencode()}"
    if not form.is_valid():
        return redirect(back)
    start = form.cleaned_data["start"]

    def made():
        runs, on = _runs(form, sheet), {"together": True, "start": start}
        kept = [(lot, run.count, to_keep(one, on)) for lot, run, one in runs]
        if any(one.missing for _, _, one in kept):
            return b"", kept
        return _sheet_of(runs, sheet, start, look=False), kept

    return signed_page(
        request,
        SheetIssueForm(request.POST or None),
        issue_together,
        extra={"made": made, "store": partial(store, settings.HOME)},
        template="labels/issue.html",
        title="Issue labels of several lots",
        says="What is issued is kept as it is printed, and its labels are counted.",
        button="Issue and print the sheet",
        done="The labels are issued. Open the file and print it.",
        back=back,
    )


def _runs(form, sheet):
    """Lots with their labels, each laid out once; refused where one is unknown."""
    geometry, found = sheet.geometry(), []
    for code, count in form.cleaned_data["lots"]:
        lot = find_lot(code)
        card = card_of(lot.item)
        size = geometry.label_width, geometry.label_height
        wanted = Wanted(
            rules=rule_set(card.rules), basis=card.basis, width=size[0], height=size[1]
        )
        made = drawn_for(card, lot, wanted, size)
        found.append((lot, Run(made.drawing, count), made))
    cells = sum(run.count * len(run.drawing.sides) for _, run, _ in found)
    ensure_places(geometry, cells, form.cleaned_data["start"])
    return found


def lot_stick_over(request, code):
    lot = _lot(code)
    form = StickOverForm(request.GET, paper=paper_in_use())
    page = {
        "lot": lot,
        "form": form,
        "act": reverse("lot-stick-over-pdf", args=[lot.code]),
        "issue": reverse("lot-stick-over-issue", args=[lot.code]),
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
    form = StickOverForm(request.GET, paper=paper_in_use())
    if form.is_valid():
        title = _over_title(lot)
        try:
            content = _sheet_over(form, _over(form, lot).looked_at(), title)
            return pdf_answer(content, slugify(title))
        except Refused as refusal:
            messages.error(request, str(refusal))
    back = reverse("lot-stick-over", args=[lot.code])
    return redirect(f"{back}?{request.GET.urlencode()}")


def lot_stick_over_issue(request, code):
    """Issue it: the bottles then carry the words that the label has today."""
    lot = _lot(code)
    form = StickOverForm(request.GET, paper=paper_in_use())
    back = f"{reverse('lot-stick-over', args=[lot.code])}?{request.GET.urlencode()}"
    if not form.is_valid():
        return redirect(back)
    facts = form.cleaned_data

    def made():
        card = card_of(lot.item)
        size = facts["width"], facts["height"]
        whole = drawn_for(card, lot, Wanted(rules=rule_set(card.rules)), size)
        over = replace(whole, drawing=_over(form, lot))
        on = {"over": True, "sheet": facts["geometry"], "labels": facts["labels"]}
        kept = to_keep(over, on | {"one": False, "start": facts["start"]})
        if kept.missing:
            return kept
        return replace(kept, raw=_sheet_over(form, over.drawing, _over_title(lot)))

    return signed_page(
        request,
        SheetIssueForm(request.POST or None),
        issue_labels,
        extra={
            "item": lot.item,
            "lot": lot,
            "made": made,
            "store": partial(store, settings.HOME),
            "printed": facts["labels"],
        },
        template="labels/issue.html",
        title=f"Issue small labels over those of {lot.item}",
        about=f"batch {lot}",
        says="Stick one on every bottle that is left: from then on they count as "
        "carrying the words that the label has today.",
        button=f"Issue and print {facts['labels']}",
        done=lambda issued: f"{issued.printed} issued. Open the file and print it.",
        back=back,
    )


def _over_title(lot):
    return f"{lot.item} {lot.code} over"


def _sheet_over(form, drawing, title):
    facts = form.cleaned_data
    return sheet_pdf(
        drawing,
        facts["geometry"],
        title,
        count=facts["labels"],
        start=facts["start"],
        crop=True,
        paper=paper_in_use(),
    )


def _over(form, lot):
    facts = form.cleaned_data
    card = card_of(lot.item)
    content, least = worded(card, lot, Wanted(rules=rule_set(card.rules)))
    kind = kind_for(card, held_by(lot), kind_book(content.rules), beside=facts["words"])
    if not kind.prints:
        line = kind.because[0].line if kind.because else kind.itself
        content = content.lacking((Missing("Kind of product", kind.says, line.cited),))
    size = facts["width"], facts["height"]
    return stick_over(content, facts["words"], *size, least, faces())


def _lot(code):
    return get_object_or_404(Lot.objects.select_related("item", "deed"), code=code)
