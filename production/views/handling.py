"""What is done with one lot: check, release, count, carry, give away, discard."""

from django.shortcuts import get_object_or_404

from production import actions
from production.forms.lots import (
    CountForm,
    DiscardForm,
    GiveForm,
    MeasurementForm,
    MoveForm,
    ReleaseForm,
    ReweighForm,
    StatusForm,
)
from production.models import Lot
from production.views.pages import write_page


def the_lot(code):
    return get_object_or_404(
        Lot.objects.select_related("item", "batch__version"), code=code
    )


def _deed(request, code, shape, act, *, title, initial=None, **words):
    """A deed on one lot that leads back to it."""
    lot = the_lot(code)
    of_lot = {"lot": lot} if hasattr(shape, "placed") else {}
    form = shape(request.POST or None, initial=initial, **of_lot)
    return write_page(
        request,
        form,
        act,
        extra={"lot": lot},
        title=title.format(lot=lot),
        about=f"{lot.item}",
        to=lot,
        **words,
    )


def measure(request, code):
    return _deed(
        request,
        code,
        MeasurementForm,
        actions.note_measurement,
        initial={"what": request.GET.get("what", "neutrality")},
        title="Note a check or reading of {lot}",
        says="A passed check releases a lot whose recipe says so.",
        button="Note it",
        cautions="cautions/check.html",
    )


def release(request, code):
    return _deed(
        request,
        code,
        ReleaseForm,
        actions.release_lot,
        title="Release {lot}",
        says="From then on it may be used and sold. A failed or missing neutrality "
        "check cannot be overruled.",
        button="Release the lot",
    )


def hold(request, code):
    return _deed(
        request,
        code,
        StatusForm,
        actions.hold_lot,
        title="Hold {lot}",
        says="Nothing is used or sold from it until an owner releases it again.",
        button="Hold the lot",
    )


def reject(request, code):
    return _deed(
        request,
        code,
        StatusForm,
        actions.reject_lot,
        title="Reject {lot}",
        says="It can then only be reworked, sampled or discarded. Only an owner may "
        "do this.",
        button="Reject the lot",
    )


def count(request, code):
    return _deed(
        request,
        code,
        CountForm,
        actions.count_lot,
        title="Count {lot}",
        says="The difference to the book is written, with its value.",
        button="Write the count",
    )


def reweigh(request, code):
    return _deed(
        request,
        code,
        ReweighForm,
        actions.reweigh_lot,
        title="Reweigh {lot}",
        says="For paste that dried out or flakes that took up damp: goods and value "
        "stay, soap content and purity are restated.",
        button="Write the weight",
    )


def give(request, code):
    return _deed(
        request,
        code,
        GiveForm,
        actions.give,
        title="Give some of {lot}",
        says="Samples, testers, gifts, own use, retained pieces: a recall finds them.",
        button="Write it down",
    )


def discard(request, code):
    return _deed(
        request,
        code,
        DiscardForm,
        actions.discard,
        title="Discard some of {lot}",
        says="It leaves the stock and its value is a loss. Say why.",
        button="Discard it",
    )


def move(request, code):
    return _deed(
        request,
        code,
        MoveForm,
        actions.move_lot,
        title="Move some of {lot}",
        says="From one place to another: into the crate, to the shop.",
        button="Move it",
    )
