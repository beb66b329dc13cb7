"""Recipes and their versions; a version never changes, the next one is written."""

from django.db.models import Count
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from production.pages.views.pages import list_page, write_page
from production.recipes.actions.formulas import write_version
from production.recipes.filters import RecipeFilter
from production.recipes.forms.compare import SwapForm
from production.recipes.forms.cook_recipe import CookRecipeForm
from production.recipes.forms.recipes import RecipeForm, as_typed
from production.recipes.models.formulas import Formula, Version
from production.recipes.tables import Recipes
from production.recipes.views.compare import exchanged
from production.recipes.views.panel import chosen_tubs, worked, worked_version
from production.stock.models.batches import Stage

SAYS = {
    Stage.COOK: "The oils in percent of all oils, or by weight, and how the lye is "
    "set. What it comes to is worked out as you type.",
    Stage.FILLING: "What one filled piece takes: grams of soap, a bottle, a cap.",
    Stage.PACKING: "What one set takes, piece by piece.",
}
OTHERWISE = "Shares of what is made, in percent; water takes what they leave open."


def recipes(request):
    found = Formula.objects.select_related("makes").annotate(
        version_count=Count("versions", distinct=True),
        batch_count=Count("versions__batches", distinct=True),
    )
    return list_page(
        request,
        Recipes,
        found,
        RecipeFilter,
        title="Recipes",
        says="What a batch should contain, stage by stage.",
        act=True,
        links=[
            ("plan", "Plan a making"),
            ("compare", "Two versions side by side"),
            ("hints", "What to expect of fats"),
        ],
    )


def write(request):
    """First which stage, then the form for it."""
    stage = request.GET.get("stage")
    if stage not in Stage.values:
        return render(
            request, "production/recipes/stages.html", {"stages": Stage.choices}
        )
    return _write(request, stage, title=f"Write a recipe: {Stage(stage).label}")


def rewrite(request, pk):
    version = get_object_or_404(
        Version.objects.select_related("formula").prefetch_related("lines", "checks"),
        pk=pk,
    )
    first, rows = as_typed(version)
    rows["lines"] = _exchanged(request, version) or rows["lines"]
    return _write(
        request,
        version.formula.stage,
        title=f"Write the next version of {version.formula}",
        initial=first,
        rows=rows,
    )


def _exchanged(request, version):
    """The lines with one oil in another's place, where the page before asked so."""
    if request.method == "POST" or "into" not in request.GET:
        return []
    form = SwapForm(request.GET, version=version)
    return [
        {"item": row.item.pk, "share": row.after, "goes_in": row.goes_in}
        for row in exchanged(version, form)
        if row.after is not None
    ]


def _form(request, stage, initial=None, rows=None):
    shape = CookRecipeForm if stage == Stage.COOK else RecipeForm
    data = request.POST if request.method == "POST" else request.POST or None
    return shape(data, stage=stage, initial=initial, rows=rows)


def _write(request, stage, *, title, initial=None, rows=None):
    form = _form(request, stage, initial, rows)
    words = {
        "title": title,
        "says": SAYS.get(stage, OTHERWISE),
        "button": "Write the recipe",
        "stage": stage,
    }
    if request.method == "POST":
        words |= worked(form)
    if "work-out" in request.POST:
        form.forget_what_is_missing()
        return render(request, "deed.html", {"form": form, **words})
    return write_page(
        request,
        form,
        write_version,
        done=lambda made: f"{made} is written.",
        **words,
    )


@require_POST
def preview(request, stage):
    """What is typed so far, worked out; nothing is written."""
    return render(
        request, "production/recipes/_worked.html", worked(_form(request, stage))
    )


def formula(request, pk):
    found = get_object_or_404(Formula.objects.select_related("makes"), pk=pk)
    versions = found.versions.select_related("deed__by").annotate(
        batch_count=Count("batches")
    )
    return render(
        request,
        "production/recipes/formula.html",
        {"formula": found, "versions": versions.order_by("-number")},
    )


def version(request, pk):
    found = get_object_or_404(
        Version.objects.select_related("formula__makes", "deed__by"), pk=pk
    )
    run = reverse("batch-run", args=[found.formula.stage])
    return render(
        request,
        "production/recipes/version.html",
        {
            "version": found,
            "lines": found.lines.select_related("item"),
            "checks": found.checks.all(),
            "batches": found.batches.select_related("lot")[:25],
            "run": f"{run}?version={found.pk}",
            **worked_version(found, chosen_tubs(request.GET)),
        },
    )
