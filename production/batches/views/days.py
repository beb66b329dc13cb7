"""The fast ways: a craft day in one save, one soap in several scents, the open pack."""

from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from production.batches.actions.days import craft_day, craft_scents
from production.batches.forms.day_plan import DayPlanForm, pastes
from production.batches.forms.days import DayForm
from production.batches.forms.scents import ScentsForm, open_scents
from production.batches.forms.weighed import day_pot, scent_pots
from production.batches.views.batches import LYE
from production.fitness.reads.rows import load
from production.pages.views.pages import write_page
from production.pages.views.weighed import fragment, live
from production.record.models.ink import Deed
from production.record.reads.clock import today
from production.release.views.states import state_in
from production.stock.views.lots import listed_lots

MOST = 30


def day(request):
    """Dilute, finish, fill: three stages and their lots in one deed."""
    asked = DayPlanForm(request.GET, on=today())
    plan = asked.plan()
    form = DayForm(
        request.POST or None,
        dilution=asked.chosen("dilution"),
        finishing=asked.chosen("finishing"),
        losses=plan.losses,
        initial=plan.initial,
        rows=plan.rows,
    )
    ready = form.is_bound or asked.chosen("paste")
    return write_page(
        request,
        form,
        craft_day,
        template="production/batches/day.html",
        title="A craft day",
        says="Dilute, finish and fill: one save, and each stage has its own lot.",
        button="Write the day",
        plan_form=asked,
        plan=plan,
        ready=ready,
        pastes=[] if ready else pastes(),
        cautions=LYE if form.weighs_lye else "",
        weighed=live(
            request,
            form,
            day_pot,
            f"{reverse('day-superfat')}?{request.GET.urlencode()}",
        ),
        done=lambda deed: _done("The day is in the book.", form),
        to=_made,
    )


@require_POST
def day_superfat(request):
    """What the day's pot comes to, as far as it is typed."""
    asked = DayPlanForm(request.GET, on=today())
    form = DayForm(
        request.POST,
        dilution=asked.chosen("dilution"),
        finishing=asked.chosen("finishing"),
    )
    return fragment(request, form, day_pot)


def scents(request):
    """One diluted soap, several finishings."""
    rows, brine = open_scents(today())
    form = ScentsForm(
        request.POST or None,
        initial={"diluted": request.GET.get("lot", ""), "brine": brine},
        rows={"scents": rows},
    )
    return write_page(
        request,
        form,
        craft_scents,
        title="One soap, several scents",
        says="A row for each scent: how much of the diluted soap, and what it takes "
        "up. Each becomes a lot of its own.",
        button="Write the scents",
        weighed=live(request, form, scent_pots, reverse("scents-superfat")),
        done=lambda deed: _done("The scents are in the book.", form),
        to=_made,
    )


@require_POST
def scents_superfat(request):
    return fragment(request, ScentsForm(request.POST), scent_pots)


def _done(says, form):
    """With what ran out on the way."""
    return " ".join([says, *form.remarks])


def _made(deed):
    return reverse("deed-made", args=[deed.pk])


def made(request, pk):
    """The lots that a deed made, the last first: code to write down, next step."""
    deed = get_object_or_404(Deed.objects.select_related("by"), pk=pk)
    lots = listed_lots().select_related("batch__version")
    lots = list(lots.filter(deed=deed, batch__isnull=False).order_by("-pk")[:MOST])
    family = load(lots).family(today())
    return render(
        request,
        "production/batches/day_made.html",
        {"deed": deed, "lots": [(lot, state_in(family, lot)) for lot in lots]},
    )
