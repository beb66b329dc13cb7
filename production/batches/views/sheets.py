"""The sheet of a batch that is about to be run."""

from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from production.batches.forms.plans import plan_form
from production.planning.reads import Occasion, any_caustic, draw_of, sheet_of, soaps_of
from production.planning.views import _with_query, as_pdf
from production.record.reads.clock import today


@require_safe
def run_sheet(request, stage):
    """The sheet of one batch, as it is planned on the page where it is written up."""
    sheet, run = _sheet_of_run(request, stage), _with_query(request, "batch-run", stage)
    if sheet is None:
        return redirect(run)
    words = {
        "sheets": [sheet],
        "pdf": _with_query(request, "run-sheet-pdf", stage),
        "back": run,
        "back_words": "Write it up",
    }
    return render(request, "production/planning/batch_sheet.html", words)


@require_safe
def run_sheet_pdf(request, stage):
    sheet = _sheet_of_run(request, stage)
    if sheet is None:
        return redirect(_with_query(request, "batch-run", stage))
    return as_pdf([sheet], f"{stage}-sheet")


def _sheet_of_run(request, stage):
    """None where nothing is planned yet."""
    form = plan_form(request.GET, stage=stage, on=today())
    plan, version = form.plan(), form.chosen
    if not plan.rows:
        return None
    soaps = soaps_of(row["item"] for row in plan.rows)
    draws = [draw_of(row, soaps) for row in plan.rows if row["exact"] > 0]
    makes = version.formula.makes if version else None
    return sheet_of(
        stage,
        version,
        makes,
        draws,
        Occasion(today(), **form.occasion()),
        expected=plan.expected,
        remarks=[*(plan.stage.how_sure if plan.stage else ()), *plan.remarks],
        still_caustic=any_caustic(draws),
    )
