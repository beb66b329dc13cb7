"""Decisions of their own: a longer life for a lot, a code in place of an odd one."""

from django.shortcuts import get_object_or_404

from production.correcting.actions.putting_right.codes import give_proper_code
from production.correcting.actions.putting_right.expiry import extend_expiry
from production.correcting.forms.putting_right import ExtendForm, ProperCodeForm
from production.pages.views.pages import write_page
from production.quantities.domain.code_shape import fault_of, shown
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot


def extend(request, code):
    lot = get_object_or_404(Lot.objects.select_related("item"), code=code)
    return write_page(
        request,
        ExtendForm(request.POST or None, lot=lot),
        extend_expiry,
        extra={"lot": lot},
        title=f"Extend the expiry of {lot}",
        says=f"{lot.item} keeps until {lot.expires}. An owner lets it live longer "
        "after a test; a day that was only typed wrong is put right instead.",
        button="Extend it",
        done=f"{lot} keeps longer.",
        to=lot,
    )


def lot_code(request, pk):
    return _proper_code(request, get_object_or_404(Lot, pk=pk))


def batch_code(request, pk):
    return _proper_code(request, get_object_or_404(Batch, pk=pk))


def _proper_code(request, thing):
    return write_page(
        request,
        ProperCodeForm(request.POST or None),
        give_proper_code,
        extra={"thing": thing},
        title=f"Give {shown(thing.code)} a proper code",
        says=f"{fault_of(thing.code)} An owner gives it another one; the old one stays "
        "written, and finds it still. A label that bears the old one is printed anew.",
        button="Give it this code",
        done="It has its code.",
        to=lambda deed: type(thing).objects.get(pk=thing.pk),
    )
