"""What is done with one lot: check, release, count, carry, give away, discard."""

from django.shortcuts import get_object_or_404
from django.urls import reverse

from production.chemistry.domain.titration import DROP_TEST
from production.contents.reads.reweighing import (
    contents_on,
    last_weighing,
    on_hand_on,
    weighing,
)
from production.fitness.domain.reasons import Mends, fit_for
from production.fitness.reads.rows import load
from production.lots.actions import lot_deeds as deeds
from production.lots.actions.lot_deeds import move_lot, reweigh_lot
from production.lots.forms.lots import (
    DiscardForm,
    GiveForm,
    MoveForm,
    ReweighForm,
    StatusForm,
    limits_of,
)
from production.pages.forms.work_out import works_out
from production.pages.views.pages import day_asked, write_page
from production.pages.views.preview import calculated, shown
from production.quantities.domain.numbers import plain
from production.record.reads.clock import today
from production.release.actions.answering import answer_for
from production.release.actions.readings import earliest_release, note_measurement
from production.release.actions.statuses import hold_lot, reject_lot, release_lot
from production.release.forms.checks import MeasurementForm
from production.release.forms.statuses import HoldForm, ReleaseForm
from production.release.views.states import purpose_of
from production.stock.actions.posting import home_place
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot, Movement
from production.stock.views.lots import the_lot


def _deed(request, code, shape, act, *, title, **words):
    """A deed on one lot that leads back to it."""
    lot = the_lot(code)
    of_lot = {"lot": lot} if hasattr(shape, "placed") else {}
    form = shape(request.POST or None, **of_lot)
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
    lot = the_lot(code)
    return _measured(
        request,
        lot.batch.version if lot.batch_id else None,
        lot=lot,
        title=f"Note a check or reading of {lot}",
        about=f"{lot.item}",
        says="A passed check releases a lot whose recipe says so.",
        titrate=reverse("lot-titrate", args=[lot.code]),
    )


def measure_batch(request, code):
    batch = get_object_or_404(Batch.objects.select_related("version"), code=code)
    return _measured(
        request,
        batch.version,
        batch=batch,
        title=f"Note a reading of {batch}",
        says="A check, a temperature, a weight: what was read, and when.",
        titrate=reverse("batch-titrate", args=[batch.code]),
    )


def _measured(request, version, *, lot=None, batch=None, **words):
    tub = lot is not None and lot.item.is_alkali
    usual = "purity" if tub else "neutrality"
    first = {"what": request.GET.get("what", usual)}
    if day := day_asked(request):
        first["on"] = day
    return write_page(
        request,
        MeasurementForm(request.POST or None, initial=first, lot=lot, batch=batch),
        note_measurement,
        extra={"lot": lot} if lot else {"batch": batch},
        to=lot or batch,
        button="Note it",
        cautions="cautions/tub.html" if tub else "cautions/check.html",
        drop_test=() if tub else DROP_TEST,
        limits=limits_of(version),
        **words,
    )


def release(request, code):
    lot = the_lot(code)
    return write_page(
        request,
        ReleaseForm(request.POST or None, lot=lot),
        release_lot,
        extra={"lot": lot},
        to=lot,
        title=f"Release {lot}",
        about=f"{lot.item}",
        says="From then on it may be used and sold. A failed or missing neutrality "
        "check cannot be overruled.",
        button="Release the lot",
        template="production/lots/decide.html",
        known=known_of(stood(lot)),
    )


def hold(request, code):
    lot = the_lot(code)
    return write_page(
        request,
        HoldForm(request.POST or None, lot=lot),
        hold_lot,
        extra={"lot": lot},
        to=lot,
        title=f"Hold {lot}",
        about=f"{lot.item}",
        says="Nothing is used or sold from it until an owner has answered the cause.",
        button="Hold the lot",
    )


def known_of(lot):
    """What a release is decided on: causes, checks, the rest; one sentence each."""
    family = load([lot]).family(today())
    fit = fit_for(family, lot.code, purpose_of(lot))
    said = [reason.says for reason in fit.reasons if reason.mends != Mends.RELEASE]
    last = family.last_check(family.nodes[lot.code])
    if last is not None and last.passed:
        said.append(f"Its neutrality check passed on {last.on}.")
    elif last is None and family.alkaline(lot.code) and lot.batch_id:
        said.append("It has no neutrality check of its own.")
    if lot.batch_id:
        said.append(f"Its rest ends on {earliest_release(lot)}.")
    return said


def stood(lot):
    """The same lot with what is on hand and its status."""
    lots = Lot.objects.with_on_hand().with_status()
    return lots.select_related("item", "batch__version").get(pk=lot.pk)


def answer(request, pk):
    entries = Movement.objects.standing().select_related("lot__item")
    found = get_object_or_404(entries, pk=pk)
    return write_page(
        request,
        StatusForm(request.POST or None),
        answer_for,
        extra={"movement": found},
        to=found.lot,
        title=f"Answer for {found.lot}",
        about=f"{found.lot.item}, {plain(abs(found.amount))} {found.kind} on "
        f"{found.on:%Y-%m-%d}",
        says="It left before it was known what was wrong. Write who was told and what "
        "came back, or why nothing is to be done. Only an owner may do this.",
        button="Write the answer",
    )


def reject(request, code):
    return _deed(
        request,
        code,
        StatusForm,
        reject_lot,
        title="Reject {lot}",
        says="It can then only be reworked, sampled or discarded. Only an owner may "
        "do this.",
        button="Reject the lot",
    )


def reweigh(request, code):
    lot = the_lot(code)
    form = ReweighForm(request.POST or None, lot=lot)
    page = {
        "template": "production/lots/reweigh.html",
        "title": f"Reweigh {lot}",
        "about": f"{lot.item}",
        "says": "For paste that dried out or flakes that took up damp: goods and value "
        "stay, soap content and purity are restated.",
        "button": "Write the weight",
        "lot": lot,
        "lye": lot.item.is_alkali,
        "booked": on_hand_on(lot, today()),
        "contents": contents_on(lot, today()),
    }
    if works_out(form):
        worked = calculated(form, lambda **facts: weighed(lot, **facts))
        return shown(request, form, worked=worked, **page)
    return write_page(
        request,
        form,
        reweigh_lot,
        extra={"lot": lot},
        to=lot,
        done=lambda deed: _weighs(lot),
        **page,
    )


def _weighs(lot):
    """What to weigh from now on, unless a later reading says otherwise."""
    last = last_weighing(lot)
    return " ".join(last.says) if last else "The weight is written."


def weighed(lot, *, on, found, place=None, **_):
    return weighing(lot, found, on=on, place=place or home_place())


def give(request, code):
    return _deed(
        request,
        code,
        GiveForm,
        deeds.give,
        title="Give some of {lot}",
        says="Samples, testers, gifts, own use, retained pieces: a recall finds them.",
        button="Write it down",
    )


def discard(request, code):
    return _deed(
        request,
        code,
        DiscardForm,
        deeds.discard,
        title="Discard some of {lot}",
        says="It leaves the stock and its value is a loss. Say why.",
        button="Discard it",
    )


def move(request, code):
    return _deed(
        request,
        code,
        MoveForm,
        move_lot,
        title="Move some of {lot}",
        says="From one place to another: into the crate, to the shop.",
        button="Move it",
    )
