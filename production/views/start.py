"""What is under way, what waits, what rests, what expires: each line leads on."""

from datetime import timedelta

from django.db.models import F, Max, Q
from django.shortcuts import render

from production.forms.deed import today
from production.models import Batch, Lot, Status
from production.views.batches import TITLES, with_state
from production.views.lots import listed_lots

SOON = timedelta(days=30)
MOST = 50


def start(request):
    on = today()
    waiting = list(quarantined())
    resting = [lot for lot in waiting if lot.rests_until and lot.rests_until > on]
    return render(
        request,
        "production/start.html",
        {
            "open": with_state().filter(done=False).order_by("started", "id")[:MOST],
            "resting": resting,
            "waiting": [lot for lot in waiting if lot not in resting],
            "held": listed_lots()
            .filter(status=Status.Word.HELD, on_hand__gt=0)
            .order_by("id")[:MOST],
            "expiring": expiring(on),
            "today": on,
            "runs": [(stage, words) for stage, (words, _) in TITLES.items()],
            "empty": not Lot.objects.exists() and not Batch.objects.exists(),
        },
    )


def quarantined():
    """Lots that wait, each with ``rests_until`` where its recipe asks for a rest."""
    made = Max(
        "movements__on",
        filter=Q(movements__kind="made", movements__reversed_by__isnull=True),
    )
    lots = (
        listed_lots()
        .filter(status=Status.Word.QUARANTINE, on_hand__gt=0)
        .annotate(made_on=made, rest_days=F("batch__version__rest_days"))
        .order_by("id")[:MOST]
    )
    for lot in lots:
        known = lot.made_on and lot.rest_days
        lot.rests_until = lot.made_on + timedelta(days=lot.rest_days) if known else None
    return lots


def expiring(on):
    return (
        listed_lots()
        .filter(on_hand__gt=0, expires__isnull=False, expires__lte=on + SOON)
        .order_by("expires")[:MOST]
    )
