"""What was understood, shown back while the form is still open."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import render

from production.quantities.domain.numbers import whole_number
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import read_amount
from production.stock.forms.fields import find_lot
from production.stock.models.lots import Lot
from production.stock.models.readings import Measurement
from production.stock.reads.lookup import lot_or_none
from production.stock.reads.stock import latest_measurement
from production.workshop.models.items import Item


def _typed(request, *ends):
    """The first value whose name, after the row's prefix, is one of these."""
    for name, value in request.GET.items():
        if name.split("-")[-1] in ends and value.strip():
            return value.strip()
    return ""


def _source(request):
    """The item that the row is about: by its lot's code, its name, or its number."""
    code, item = _typed(request, "lot"), _typed(request, "item")
    if (pk := whole_number(item)) is not None:
        return Item.objects.filter(pk=pk).first()
    lot = lot_or_none(code)
    return lot.item if lot else None


def amount(request):
    trigger = request.htmx.trigger_name or "amount"
    text, item = request.GET.get(trigger, "").strip(), _source(request)
    unit: Any = item.unit if item else "g"
    density = item.density if item else None
    if not text:
        return HttpResponse("")
    try:
        read = read_amount(text, unit=unit, density=density)
    except Refused as fault:
        return render(request, "_echo.html", {"fault": str(fault)})
    return render(request, "_echo.html", {"amount": read.grams_or_pieces, "unit": unit})


def lot(request):
    trigger = request.htmx.trigger_name or "lot"
    text = request.GET.get(trigger, "").strip()
    if not text:
        return HttpResponse("")
    if tap := Item.objects.filter(name__iexact=text, on_tap=True).first():
        return render(request, "_echo.html", {"item": tap})
    try:
        code = find_lot(text).code
    except ValidationError as fault:
        return render(request, "_echo.html", {"fault": " ".join(fault.messages)})
    found = (
        Lot.objects.with_on_hand().with_status().select_related("item").get(code=code)
    )
    return render(
        request,
        "_echo.html",
        {
            "lot": found,
            "code": "" if code == text else code,
            "purity": latest_measurement(found, "purity", Measurement.BEST_FIRST),
        },
    )
