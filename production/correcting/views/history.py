"""The deeds in their order, what can be taken back, and the closing of a month."""

from django.db.models import BooleanField, ExpressionWrapper
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.html import format_html

from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.correcting.filters import DeedFilter
from production.correcting.forms.history import CorrectionForm, TakingBackForm
from production.correcting.reads.later_deeds import (
    all_resting_on,
    left_to_take_back,
    line_of,
)
from production.correcting.tables import Deeds
from production.counting.reads import counts_of
from production.pages.forms.reason import ReasonForm
from production.pages.views.pages import list_page, write_page
from production.record.actions.deeds import STAYS
from production.record.models.ink import Closing, Deed
from production.record.reads.restated import written_by
from production.stock.models.lots import Movement
from production.stock.models.readings import Measurement
from production.templatetags.readings import is_check


def history(request):
    return list_page(
        request,
        Deeds,
        Deed.objects.select_related("by").annotate(
            undoable=ExpressionWrapper(
                left_to_take_back(STAYS), output_field=BooleanField()
            )
        ),
        DeedFilter,
        title="History",
        says="Every act in the order it was written; nothing is rubbed out.",
        links=[("book-close", "Close a month")],
        closing=Closing.objects.first(),
    )


def deed(request, pk):
    found = get_object_or_404(Deed.objects.select_related("by", "undoes"), pk=pk)
    entries = Movement.objects.filter(deed=found).select_related(
        "lot__item", "place", "given", "reversed_by"
    )
    words = {
        "deed": found,
        "entries": entries,
        "facts": written_by(found),
        "counts": counts_of(deed=found),
        "undoable": is_left_to_take_back(found),
        "stays": STAYS.get(found.verb, ""),
    }
    return render(request, "production/correcting/deed.html", words)


def undo(request, pk):
    undone = get_object_or_404(Deed, pk=pk)
    entries = line_of(undone)
    says = f"Written on {undone.on}. What it wrote counts no more, and stays readable."
    later = all_resting_on(undone)
    return write_page(
        request,
        TakingBackForm(request.POST or None, later=later),
        undo_deed,
        extra={"undone": undone},
        title=f"Take back: {undone.verb}",
        says=_with_its_checks(says, undone),
        button="Take it back",
        entries=entries.select_related("lot__item", "place"),
        template="production/correcting/take_back_deed.html",
        later=later,
        to="history",
    )


def _with_its_checks(says, undone):
    """A check is taken back on a page of its own: the way there."""
    for check in Measurement.objects.filter(deed=undone, taken_back__isnull=True):
        if is_check(check):
            page = reverse("check-take-back", args=[check.pk])
            link = '{} <a href="{}">Take back the check, {}</a>.'
            says = format_html(link, says, page, check.what)
    return says


def is_left_to_take_back(deed):
    return Deed.objects.filter(left_to_take_back(STAYS), pk=deed.pk).exists()


def the_entry(pk):
    entries = Movement.objects.select_related("lot__item", "place", "deed")
    return get_object_or_404(entries, pk=pk)


def take_back(request, pk):
    entry = the_entry(pk)
    return write_page(
        request,
        ReasonForm(request.POST or None),
        reverse_movement,
        extra={"movement": entry},
        title=f"Take back an entry of {entry.lot}",
        says="The entry counts no more from its own day on; it stays in the book.",
        button="Take it back",
        entries=[entry],
        to=entry.lot,
    )


def correct(request, pk):
    entry = the_entry(pk)
    return write_page(
        request,
        CorrectionForm(request.POST or None, movement=entry),
        correct_movement,
        extra={"movement": entry},
        title=f"Correct an entry of {entry.lot}",
        says="It is taken back and entered anew in the same place of the book.",
        button="Correct it",
        entries=[entry],
        to=entry.lot,
    )
