"""Titrate a lot or a batch: what the acid says of the alkali that is left free."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect

from production.chemistry.domain.titration import as_other, limits
from production.contents.reads.contents import grams_here
from production.pages.forms.work_out import works_out
from production.pages.views.pages import day_asked, write_page
from production.pages.views.preview import calculated, shown
from production.release.actions.readings import note_measurement
from production.release.forms.alkali_titration import AlkaliTitrationForm
from production.release.forms.titration import TitrationForm
from production.release.reads.checks import free_alkali_limit, is_limited
from production.stock.domain.checks import LIMIT_SOURCE
from production.stock.domain.checks import percent as percent_of
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot
from production.stock.models.readings import Measurement
from production.stock.reads.stock import latest_measurement

STANDS = {
    "verified": "read in a public text",
    "secondary": "as another work quotes it",
    "recalled": "source not checked again: look it up before you rely on it",
}


def titrate_lot(request, code):
    lot = get_object_or_404(
        Lot.objects.with_on_hand().select_related("item", "batch__version"), code=code
    )
    if lot.item.is_alkali:
        messages.warning(
            request,
            f"{lot} is {lot.item} and no soap: nothing is written. Here its purity is "
            "titrated.",
        )
        return redirect("alkali-titrate", lot.code)
    made_by = lot.batch.version if lot.batch_id else None
    return _titrate(request, made_by, lot=lot)


def titrate_batch(request, code):
    batch = get_object_or_404(Batch.objects.select_related("version"), code=code)
    return _titrate(request, batch.version, batch=batch)


def titrate_alkali(request, code):
    """A tub of alkali: its purity is restated, and never read as soap."""
    lot = get_object_or_404(Lot.objects.select_related("item"), code=code)
    if not lot.item.is_alkali:
        messages.warning(
            request,
            f"{lot} is {lot.item} and no tub of alkali: nothing is written. Here its "
            "free alkali is titrated.",
        )
        return redirect("lot-titrate", lot.code)
    form = AlkaliTitrationForm(request.POST or None, lot=lot)
    page = {
        "template": "production/release/titrate_alkali.html",
        "title": f"Titrate the tub {lot}",
        "about": f"{lot.item}",
        "says": "How much hydroxide is in it, by acid of a known strength.",
        "button": "Restate the purity",
        "found": lot,
        "stood": latest_measurement(lot, Measurement.What.PURITY),
    }
    if works_out(form):
        worked = calculated(form, lambda **_: form.worked())
        return shown(request, form, worked=worked, **page)
    return write_page(
        request,
        form,
        note_measurement,
        extra={"lot": lot},
        to=lot,
        done=f"The purity of {lot} is restated.",
        **page,
    )


def _titrate(request, version, *, lot=None, batch=None):
    found = lot or batch
    limit = free_alkali_limit(version)
    day = day_asked(request)
    form = TitrationForm(
        request.POST or None,
        initial={"on": day} if day else None,
        limit=limit,
        lot=lot,
        batch=batch,
    )
    page = {
        "template": "production/release/titrate.html",
        "title": f"Titrate {found}",
        "about": f"{lot.item}" if lot else batch.get_stage_display(),
        "says": "How much alkali is left free, by acid of a known strength.",
        "button": "Note the titration",
        "found": found,
        "lot": lot,
        "limit": percent_of(limit),
        "own": is_limited(version, Measurement.What.FREE_ALKALI),
        "source": LIMIT_SOURCE,
        "published": _published(),
    }
    if works_out(form):
        worked = calculated(form, lambda **_: form.worked(grams_here(lot)))
        return shown(request, form, worked=worked, **page)
    extra = {"lot": lot} if lot else {"batch": batch}
    return write_page(
        request,
        form,
        note_measurement,
        extra=extra,
        to=found,
        done=lambda _: _noted(form, found),
        **page,
    )


def _noted(form, found):
    if not form.is_valid():
        return f"The titration of {found} is noted."
    share = percent_of(form.cleaned_data["fraction"])
    return f"{share} free alkali as KOH is noted of {found}."


def _published():
    """The limits of standards, each as printed and as KOH."""
    return [
        {
            "limit": row,
            "printed": percent_of(row.figure),
            "koh": percent_of(as_other(row.figure, row.alkali, "KOH")),
            "stands": STANDS[row.standing],
        }
        for row in limits()
    ]
