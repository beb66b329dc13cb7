"""A longer life for a lot: a decision of its own, with the test it rests on."""

from django.shortcuts import get_object_or_404

from production import actions
from production.forms.putting_right import ExtendForm
from production.models import Lot
from production.views.pages import write_page


def extend(request, code):
    lot = get_object_or_404(Lot.objects.select_related("item"), code=code)
    return write_page(
        request,
        ExtendForm(request.POST or None, lot=lot),
        actions.extend_expiry,
        extra={"lot": lot},
        title=f"Extend the expiry of {lot}",
        says=f"{lot.item} keeps until {lot.expires}. An owner lets it live longer "
        "after a test; a day that was only typed wrong is put right instead.",
        button="Extend it",
        done=f"{lot} keeps longer.",
        to=lot,
    )
