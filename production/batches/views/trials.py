"""Trials: mixed at the bench, looked at, laid side by side."""

from functools import partial

from django.conf import settings
from django.http import QueryDict
from django.shortcuts import render
from django.urls import reverse

from production.batches.actions.trials import bench_trials, note_look
from production.batches.filters import TrialFilter
from production.batches.forms.trials import LookForm, SamplesForm
from production.batches.reads.trials import (
    MOST_BESIDE,
    beside,
    listed_trials,
    rows_beside,
)
from production.batches.tables import Trials
from production.batches.views.batches import the_batch
from production.pages.views.pages import list_page, write_page
from production.papers.files.attachments import store
from production.record.models.ink import Deed
from production.record.reads.clock import today
from production.stock.models.batches import Step


def trials(request):
    return list_page(
        request,
        Trials,
        listed_trials(),
        TrialFilter,
        template="production/batches/trials.html",
        title="Trials",
        says="Small batches to learn from. None of them is sold before an owner "
        "accepts it.",
        act=True,
    )


def mix(request):
    """Several samples of one soap, with rising shares of what goes in."""
    first = {"soap": request.GET.get("lot", ""), "soap_each": "100 g"}
    return write_page(
        request,
        SamplesForm(request.POST or None, initial=first),
        bench_trials,
        title="Mix samples",
        says="Small samples of one soap with fragrance, brine or another lot; each is "
        "taken from stock and becomes a trial of its own. 0.5 1 1.5 makes three "
        "samples, a single share goes into every one.",
        button="Write the samples",
        done="The samples are in the book. Look at them after some minutes, after a "
        "day and after a week.",
        to=_mixed,
    )


def _mixed(deed: Deed):
    """Side by side, the first of them."""
    asked = QueryDict(mutable=True)
    codes = deed.batches.order_by("id").values_list("code", flat=True)
    asked.setlist("batch", list(codes[:MOST_BESIDE]))
    return f"{reverse('batch-trials-beside')}?{asked.urlencode()}"


def side_by_side(request):
    asked = list(dict.fromkeys(request.GET.getlist("batch")))
    found = beside(asked, today())
    return render(
        request,
        "production/batches/trials_beside.html",
        {
            "title": "Trials side by side",
            "trials": found,
            "rows": rows_beside(found),
            "cut": max(0, len(asked) - MOST_BESIDE),
            "most": MOST_BESIDE,
        },
    )


def look(request, code):
    found = the_batch(code)
    [trial] = beside([code], today()) if found.trial else [None]
    first = {"look": request.GET.get("look") or (trial.due if trial else "")}
    return write_page(
        request,
        LookForm(request.POST or None, request.FILES, initial=first),
        note_look,
        extra={"batch": found, "store": partial(store, settings.HOME)},
        template="production/batches/trial_look.html",
        title="Look at a trial",
        about=f"batch {found}",
        says="What it looks like after some minutes, after a day and after a week: "
        "the clouding and the browning that a fragrance brings take time.",
        button="Note the look",
        done=f"The look at {found} is noted.",
        to=found,
        trial=trial,
        looks=Step.Look.choices,
    )
