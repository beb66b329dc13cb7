"""Sums at the bench: worked out on one page, and nothing is written."""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from production.bench.forms import SUMS
from production.chemistry.domain.titration import as_other, limits
from production.release.views.titration import STANDS
from production.stock.domain.checks import percent as percent_of


@require_safe
def bench_sums(request):
    forms = [form(request.GET) for form in SUMS]
    sums = [
        {"form": form, "answer": form.answer(), "carried": _of_others(form, forms)}
        for form in forms
    ]
    allowed = [_in_words(limit) for limit in limits()]
    words = {"sums": sums, "allowed": allowed}
    return render(request, "production/bench/sums.html", words)


def _of_others(form, forms):
    """What was typed in the other sums: it goes along, so that it stays there."""
    return [pair for other in forms if other is not form for pair in other.carried()]


def _in_words(limit):
    printed = f"{percent_of(limit.figure)} as {limit.alkali}"
    if limit.alkali != "KOH":
        counted = as_other(limit.figure, limit.alkali, "KOH")
        printed += f" ({percent_of(counted)} as KOH)"
    return {"limit": limit, "printed": printed, "stands": STANDS[limit.standing]}
