"""What was assessed of a product, and the sheet for whoever assesses it."""

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify

from labels.actions.assessments import note_assessment
from labels.domain.assessment import covers
from labels.files.composition import composition_pdf, composition_xlsx
from labels.forms.assessments import AssessmentForm
from labels.forms.labels import RULES
from labels.models import Assessment
from labels.reads.assessments import (
    LATEST_FIRST,
    answers_for,
    as_assessed,
    as_first_values,
    assessment_answers,
    last_assessment,
)
from labels.reads.composition import composition_sheet
from labels.reads.kind_tables import asked_before
from labels.reads.kinds import source_of
from labels.reads.planned import planned_sheet
from production.contents.reads.contents import contents_of
from production.models import Item, Lot, Workshop
from production.pages.views.pages import write_page
from production.pages.views.sheets import XLSX
from production.papers.files.sheets_out import Stamp
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today


def _asking():
    """The sets of rules that ask for an assessment, as choices."""
    return [(code, title) for code, title in RULES if asked_before(code)]


def item_assessments(request, pk):
    item = get_object_or_404(Item, pk=pk)
    lot = source_of(item, None)
    held = contents_of(lot) if lot else None
    stands = [
        (
            code,
            title,
            assessment_answers(
                asked_before(code), item, code, lot, held, today(), answers_for(code)
            ),
        )
        for code, title in _asking()
    ]
    rows = Assessment.objects.filter(item=item).order_by(*LATEST_FIRST)
    rows = rows.select_related("pack", "deed__by")
    rows = [
        (row, covers(as_assessed(row)))
        for row in rows.prefetch_related("recipes__formula", "fragrances__item")
    ]
    return render(
        request,
        "labels/assessments.html",
        {"item": item, "lot": lot, "stands": stands, "rows": rows},
    )


def assessment_add(request, pk):
    item = get_object_or_404(Item, pk=pk)
    asking = _asking()
    code = request.GET.get("rules", asking[0][0] if asking else "")
    first, rows = as_first_values(last_assessment(item, code))
    form = AssessmentForm(
        request.POST or None,
        initial={"rules": code, **first},
        rows=rows,
        rules=asking,
    )
    return write_page(
        request,
        form,
        note_assessment,
        extra={"item": item},
        title=f"An assessment of {item}",
        says="It is written once and never changed: the one of the latest date counts. "
        "A label outside of it comes out as a draft.",
        button="Write the assessment",
        done=_on_file,
        to=lambda made: reverse("item-assessments", args=[item.pk]),
    )


def _on_file(made):
    """What is told of it; an older one takes the place of none."""
    counts = last_assessment(made.item, made.rules)
    if counts is None or counts.pk == made.pk:
        return f"{made.reference} is on file."
    return (
        f"{made.reference} is on file. {counts.reference} still counts: it is dated "
        f"{counts.assessed_on}, after this one."
    )


def lot_composition(request, code):
    """The sheet of a lot as a PDF, or as figures with ``?sheet=xlsx``."""
    lot = get_object_or_404(Lot.objects.select_related("item", "deed"), code=code)
    return _sheet(request, lot.item, f"{lot.item} {lot}", composition_sheet, lot)


def item_composition(request, pk):
    """The same of a product as its recipes say now."""
    item = get_object_or_404(Item, pk=pk)
    return _sheet(request, item, f"{item} planned", planned_sheet, item, today())


def _sheet(request, item, title, made_by, *told):
    workshop = Workshop.objects.first() or Workshop()
    stamp = Stamp(settings.VERSION, workshop.name, today())
    name = f"composition-{slugify(title)}"
    try:
        sheet = made_by(*told)
    except Refused as refusal:
        messages.error(request, str(refusal))
        return redirect("item-assessments", pk=item.pk)
    if request.GET.get("sheet") == "xlsx":
        return FileResponse(
            composition_xlsx(sheet, stamp),
            as_attachment=True,
            filename=f"{name}.xlsx",
            content_type=XLSX,
        )
    return HttpResponse(
        composition_pdf(sheet, stamp, workshop.paper),
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}.pdf"'},
    )
