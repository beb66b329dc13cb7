"""The ingredient list of a real lot, in the order and names of chosen rules."""

from django.shortcuts import get_object_or_404, render

from labels.domain.rules import rule_set
from labels.files import name_book
from labels.forms import IngredientsForm
from labels.reads import declare_lot
from production.domain.refusal import Refused
from production.models import Lot


def lot_ingredients(request, code):
    lot = get_object_or_404(Lot.objects.select_related("item"), code=code)
    form = IngredientsForm(request.GET if "rules" in request.GET else {"rules": "us"})
    page = {"lot": lot, "form": form}
    if form.is_valid():
        rules = rule_set(form.cleaned_data["rules"])
        page["rules"] = rules
        page["basis"] = form.cleaned_data["basis"] or rules.default_basis
        try:
            page["made"] = declare_lot(lot, rules, page["basis"], name_book())
        except Refused as refusal:
            page["refused"] = str(refusal)
    return render(request, "labels/lot_ingredients.html", page)
