"""Plan a making: from what is wanted or what is there, and print its batch sheets."""

from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from production.fitness.forms import released_lots
from production.pages.forms.fields import TUBS
from production.planning.files import batch_sheets_pdf
from production.planning.forms import ProductionPlanForm
from production.planning.reads import (
    Occasion,
    sheets_of,
)
from production.quantities.domain.numbers import grams, plain
from production.recipes.models.formulas import Version
from production.recipes.reads.planning import items_of
from production.record.models.workshop import Workshop
from production.record.reads.clock import today


@require_safe
def plan(request):
    """Everything by GET: a plan is a question, and writes nothing."""
    form = ProductionPlanForm(request.GET, on=today())
    planned = form.plan()
    return render(
        request,
        "production/planning/production_plan.html",
        {
            "form": form,
            "planned": planned,
            "lots": released_lots(),
            "sheets": _with_query(request, "plan-sheets"),
            "pdf": _with_query(request, "plan-sheets-pdf"),
            "stages": _stages(form, planned) if planned else [],
        },
    )


def _stages(form, planned):
    """Each stage with the address where it is written up, with all that was planned:
    amounts, tubs, loss, kettle."""
    tubs = {TUBS[lot.item.alkali]: lot.code for lot in form.tubs}
    facts, stages = form.cleaned_data, []
    for row in planned.stages:
        stage = row.plan.stage
        query = {"version": stage.key, "loss": f"{plain(stage.loss.share * 100)} %"}
        if row.is_cook:
            vessel, at = facts.get("vessel"), facts.get("at")
            query |= {"oils": plain(grams(row.plan.oils))}
            query |= {name: tubs[name] for name in (TUBS[lye] for lye in row.lyes)}
            query |= {"vessel": vessel.pk} if vessel else {}
            query |= {"at": f"{at:%H:%M}"} if at else {}
        elif stage.stage == "dilution":
            # So much paste: what it holds decides how much water, once it is weighed.
            paste = row.taken[0]
            query["amount"] = plain(paste.need.amount)
            if paste.shares:
                # Of several pastes each is diluted by itself.
                first = paste.shares[0]
                query |= {"paste": first.code, "amount": plain(first.amount)}
        else:
            made = row.plan.comes_out if stage.makes.counted else row.together
            query["amount"] = plain(made)
        run = reverse("batch-run", args=[stage.stage])
        stages.append((row, f"{run}?{urlencode(query)}"))
    return stages


def _sheets(request):
    form = ProductionPlanForm(request.GET, on=today())
    planned = form.plan()
    if planned is None:
        return None
    facts = form.cleaned_data
    keys = [row.plan.stage.key for row in planned.stages]
    versions = (
        Version.objects.filter(pk__in=keys)
        .select_related("formula")
        .prefetch_related("checks", "lines")
        .in_bulk()
    )
    occasion = Occasion(
        facts.get("on") or today(), facts.get("at"), facts.get("vessel")
    )
    return sheets_of(
        planned, items_of(planned.stages), versions, occasion, planned.remarks
    )


@require_safe
def sheets(request):
    made = _sheets(request)
    if made is None:
        return redirect(_with_query(request, "plan"))
    pdf = _with_query(request, "plan-sheets-pdf")
    return render(
        request, "production/planning/batch_sheet.html", {"sheets": made, "pdf": pdf}
    )


@require_safe
def sheets_pdf(request):
    made = _sheets(request)
    if made is None:
        return redirect(_with_query(request, "plan"))
    return as_pdf(made, "batch-sheets")


def _with_query(request, name, *args):
    return f"{reverse(name, args=args)}?{request.GET.urlencode()}"


def as_pdf(sheets, name):
    paper: Any = Workshop.objects.values_list("paper", flat=True).first() or "A4"
    answer = HttpResponse(batch_sheets_pdf(sheets, paper), "application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer
