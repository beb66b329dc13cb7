"""Recipes and their versions; a version never changes, the next one is written."""

from django.db.models import Count
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from production import actions
from production.filters import RecipeFilter
from production.forms.recipes import CookRecipeForm, RecipeForm, as_typed
from production.models import Formula, Stage, Version
from production.tables import Recipes
from production.views.pages import list_page, write_page

SAYS = {
    Stage.COOK: "The oils in percent of all oils, and how the lye is set. The alkali "
    "itself is worked out when you cook, from the purity of its lot.",
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
        act=("recipe-write", "Write a recipe"),
    )


def write(request):
    """First which stage, then the form for it."""
    stage = request.GET.get("stage")
    if stage not in Stage.values:
        return render(request, "production/stages.html", {"stages": Stage.choices})
    return _write(request, stage, title=f"Write a recipe: {Stage(stage).label}")


def rewrite(request, pk):
    version = get_object_or_404(
        Version.objects.select_related("formula").prefetch_related("lines"), pk=pk
    )
    first, rows = as_typed(version)
    return _write(
        request,
        version.formula.stage,
        title=f"Write the next version of {version.formula}",
        initial=first,
        rows={"lines": rows},
    )


def _write(request, stage, *, title, initial=None, rows=None):
    shape = CookRecipeForm if stage == Stage.COOK else RecipeForm
    form = shape(request.POST or None, stage=stage, initial=initial, rows=rows)
    return write_page(
        request,
        form,
        actions.write_version,
        title=title,
        says=SAYS.get(stage, OTHERWISE),
        button="Write the recipe",
        done=lambda made: f"{made} is written.",
    )


def formula(request, pk):
    found = get_object_or_404(Formula.objects.select_related("makes"), pk=pk)
    versions = found.versions.select_related("deed__by").annotate(
        batch_count=Count("batches")
    )
    return render(
        request,
        "production/formula.html",
        {"formula": found, "versions": versions.order_by("-number")},
    )


def version(request, pk):
    found = get_object_or_404(
        Version.objects.select_related("formula__makes", "deed__by"), pk=pk
    )
    run = reverse("batch-run", args=[found.formula.stage])
    return render(
        request,
        "production/version.html",
        {
            "version": found,
            "lines": found.lines.select_related("item"),
            "batches": found.batches.select_related("lot")[:25],
            "run": f"{run}?version={found.pk}",
        },
    )
