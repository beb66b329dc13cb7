"""Two versions side by side, and one oil in another's place."""

from typing import Any
from urllib.parse import urlencode

from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from production.quantities.domain.refusal import Refused
from production.recipes.forms.compare import CompareForm, SwapForm
from production.recipes.models.formulas import Version
from production.recipes.reads.compare import compare
from production.recipes.reads.swapping import swapped
from production.recipes.views.panel import chosen_tubs, to_choose
from production.stock.models.batches import Stage


def versions(request):
    form = CompareForm(request.GET)
    words: dict[str, Any] = {"form": form}
    if form.is_valid():
        a, b = form.cleaned_data["a"], form.cleaned_data["b"]
        found = compare(a, b, chosen_tubs(request.GET))
        tubs = [
            (f"{to}&{urlencode({'a': a.pk, 'b': b.pk})}", code, says)
            for to, code, says in to_choose(found.tubs)
        ]
        words |= {"a": a, "b": b, "found": found, "tubs": tubs}
    return render(request, "production/recipes/compare.html", words)


def swap(request, pk):
    """What the shares become; the next version is written on its own page."""
    version = get_object_or_404(
        Version.objects.select_related("formula").filter(formula__stage=Stage.COOK),
        pk=pk,
    )
    form = SwapForm(request.GET if "into" in request.GET else None, version=version)
    return render(
        request,
        "production/recipes/swap.html",
        {
            "form": form,
            "recipe": version,
            "rows": exchanged(version, form),
            "next": f"{reverse('version-next', args=[pk])}?{request.GET.urlencode()}",
        },
    )


def exchanged(version, form):
    """The lines with the oil exchanged; a refusal lands on the form."""
    if not form.is_valid():
        return []
    facts = form.cleaned_data
    try:
        return swapped(version, facts["out"], facts["into"], facts["hold"])
    except Refused as fault:
        form.add_error(None, str(fault))
        return []
