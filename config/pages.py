"""Pages of the roof that read more than one app."""

from typing import Any

from django.shortcuts import render
from django.views.decorators.http import require_safe

from config.compare import compare_costs
from production.recipes.forms.compare import CompareForm


@require_safe
def compare_cost(request):
    """Two versions line by line, with what 1,000 g or a piece by them would cost."""
    form = CompareForm(request.GET)
    words: dict[str, Any] = {"form": form}
    if form.is_valid():
        found = compare_costs(form.cleaned_data["a"], form.cleaned_data["b"])
        words["found"] = found
    return render(request, "config/compare_cost.html", words)
