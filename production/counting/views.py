"""Counting one lot, and all that stands at a place."""

from django.shortcuts import get_object_or_404

from production.counting import actions as deeds
from production.counting.actions import CountsRefused, count_lot
from production.counting.forms import CountForm, StockTakeForm
from production.pages.views.pages import write_page
from production.stock.views.lots import the_lot
from production.workshop.models.places import Place


def count(request, code):
    lot = the_lot(code)
    form = CountForm(request.POST or None, lot=lot)
    return write_page(
        request,
        form,
        count_lot,
        extra={"lot": lot},
        to=lot,
        title=f"Count {lot}",
        about=f"{lot.item}",
        says="The difference to the book is written, with its value.",
        button="Write the count",
        cautions="cautions/tub.html" if lot.item.is_alkali else "",
    )


def count_place(request, pk):
    place = get_object_or_404(Place, pk=pk)
    blind = "blind" in request.GET
    form = StockTakeForm(request.POST or None, place=place, blind=blind)

    def write(**facts):
        try:
            return deeds.count_place(place=place, **facts)
        except CountsRefused as fault:
            form.fault(fault.faults)
            raise

    alkali = any(lot.item.is_alkali for lot in form.lots)
    return write_page(
        request,
        form,
        write,
        to="places",
        title=f"Count what stands at {place}",
        says="One box for each lot. What you leave empty is not counted.",
        template="production/counting/count_place.html",
        cautions="cautions/tub.html" if alkali else "",
        place=place,
        blind=blind,
    )
