"""From where, into what, and to whom: one lot's family."""

from django.core.exceptions import ValidationError
from django.shortcuts import render

from production.forms.deed import lots_to_choose
from production.forms.fields import find_lot
from production.forms.history import TraceForm
from production.models import Lot
from production.reads.trace import trace as family


def trace(request):
    form = TraceForm(request.GET if "lot" in request.GET else None)
    page = {"form": form, "suggestions": {"lots": lots_to_choose()}}
    if form.is_valid():
        try:
            lot = find_lot(form.cleaned_data["lot"])
        except ValidationError as fault:
            form.add_error("lot", fault)
        else:
            page |= traced(lot)
    return render(request, "production/trace.html", page)


def traced(lot):
    """The family with each lot's name and state beside its code."""
    found = family(lot)
    named = {
        row.code: row
        for row in Lot.objects.filter(code__in=[*found.back, *found.forward])
        .with_on_hand()
        .with_status()
        .select_related("item", "batch", "line__purchase__supplier")
    }
    return {
        "lot": lot,
        "back": [named[code] for code in found.back],
        "forward": [named[code] for code in found.forward],
        "customers": found.customers,
        "deliveries": found.deliveries,
    }
