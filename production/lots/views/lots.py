"""Lots: what is on hand, and the page of one with its whole story."""

from dataclasses import replace
from urllib.parse import quote

from django.db.models import F
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from production.batches.reads.weighed import weighed_batch
from production.contents.reads.open_batches import in_open_batches
from production.contents.reads.reweighing import last_weighing
from production.counting.reads import counts_of, disagreeing, with_what_came
from production.fitness.reads.what_left import left_before_it_was_known
from production.lots.actions.places import add_place, change_place
from production.lots.filters import LotFilter, StandingFilter
from production.lots.forms.places import PlaceForm
from production.lots.tables import FilledLots, Lots, Standing
from production.pages.views.pages import card_page, list_page
from production.quantities.domain.code_shape import remark
from production.recipes.reads.packs import open_pack
from production.record.reads.clock import today
from production.release.reads.checks import shown_readings
from production.release.views.states import lot_state
from production.selling.reads.deposits import empties_of
from production.selling.reads.returned_goods import to_look_at
from production.stock.models.batches import COUNTED
from production.stock.models.counts import Stock
from production.stock.models.lots import Status
from production.stock.models.readings import Measurement
from production.stock.reads.lookup import lot_or_none
from production.stock.reads.set_apart import standing_apart
from production.stock.reads.stock import latest_measurement, on_hand_by_place
from production.stock.views.lots import listed_lots
from production.tracing.reads.family import lot_balance
from production.tracing.views.trace import terms
from production.workshop.models.items import Item
from production.workshop.models.places import Place


def lots(request):
    return list_page(
        request,
        Lots,
        listed_lots().order_by("-id"),
        LotFilter,
        title="Lots",
        template="production/lots/lots.html",
        open=in_open_batches(),
        says="Everything that can be traced, newest first.",
        links=[("filled", "Filled lots"), ("stock-open", "Take in opening stock")],
    )


def filled(request):
    return list_page(
        request,
        FilledLots,
        listed_lots().filter(batch__stage__in=COUNTED).order_by("-id"),
        LotFilter,
        title="Filled lots",
        says="Bottles and sets: how many are left, and whether they may be sold.",
        links=[
            ("lots", "All lots"),
            ("sale-sell", "Record a sale"),
            ("lots-tested-before", "Tested before this book"),
        ],
    )


def lot(request, code):
    shown = listed_lots().select_related(
        "batch__version__formula", "line__purchase__supplier"
    )
    found = shown.filter(code=code).first()
    if found is None:
        # Typed by hand, in another spelling or from a paper.
        meant = lot_or_none(code)
        if meant is None:
            raise Http404(f"There is no lot {code}.")
        return redirect(meant)
    entries = (
        found.movements.in_book_order()
        .select_related(
            "place", "deed__by", "batch", "sale_line__sale", "given", "reversed_by"
        )
        .annotate(verb=F("deed__verb"))
    )
    balance = lot_balance(found)
    apart = standing_apart([found.pk]).get(found.pk)
    empty = _brought_back(found)
    traced = f"{reverse('trace')}?lot={quote(found.code)}"
    return render(
        request,
        "production/lots/lot.html",
        {
            "lot": found,
            "odd_code": remark(found.code),
            "balance": balance,
            "terms": terms(balance, found, traced),
            "state": (state := _state_of(found, apart, empty)),
            "purity": latest_measurement(found, "purity", Measurement.BEST_FIRST)
            if found.item.is_alkali
            else None,
            "left": left_before_it_was_known(found) if state.unproven else [],
            "places": on_hand_by_place(found),
            "apart": apart,
            "came_back": to_look_at(found),
            "empty_back": empty,
            "entries": entries,
            "counts": counts_of(lot=found),
            "disagrees": [with_what_came(row) for row in disagreeing(found)],
            "measurements": shown_readings(found),
            "statuses": found.statuses.select_related("deed__by"),
            "made_here": found.item.kind == Item.Kind.MADE,
            "stands_open": open_pack(found.item, today()) == found,
            "weighed": weighed_batch(found.batch) if found.batch_id else None,
            "weighing": last_weighing(found) if found.on_hand else None,
        },
    )


def _brought_back(found):
    """Who brought it back empty, of what was neither bought nor made."""
    if found.batch_id or found.line_id:
        return None
    return empties_of([found]).get(found.pk)


def _state_of(found, apart, empty):
    """How it stands; of what came back nothing goes on, and an empty is washed."""
    state = lot_state(found)
    if empty and found.status == Status.Word.QUARANTINE and found.on_hand > 0:
        wash = reverse("lot-wash", args=[found.code])
        says = "Waits to be washed and looked at."
        return replace(state, says=says, link=wash, words="Wash and look")
    if state.stopped or apart is None or not apart.on_hand == found.on_hand > 0:
        return state
    return replace(
        state, says="All of it came back and stands apart.", link="", words=""
    )


def places(request):
    stands = (
        Stock.objects.filter(amount__gt=0)
        .values("place__name", "lot__code", "lot__item__name", "lot__item__unit")
        .annotate(total=F("amount"))
        .order_by("place__name", "lot__item__name")
    )
    return list_page(
        request,
        Standing,
        stands,
        StandingFilter,
        title="Places",
        says="Where the goods stand: the workshop, the crate for the stall, a shop.",
        act=("place-add", "Add a place"),
        places=Place.objects.all(),
    )


def place_add(request):
    return card_page(
        request,
        PlaceForm(request.POST or None),
        add_place,
        title="Add a place",
        says="The workshop itself, a crate, a shop that sells for you.",
        button="Add the place",
        to="places",
    )


def place_change(request, pk):
    found = get_object_or_404(Place, pk=pk)
    return card_page(
        request,
        PlaceForm(request.POST or None, instance=found),
        change_place,
        # A fresh row: the form has written its answers on the one it shows.
        extra={"place": get_object_or_404(Place, pk=pk)},
        title=f"Rename {found}",
        button="Write the card",
        to="places",
    )
