"""The closing of a month."""

from production.closing.actions import close_book
from production.closing.forms import ClosingForm
from production.closing.reads import months_to_close, still_open
from production.pages.views.pages import write_page
from production.record.models.ink import Closing
from production.record.reads.clock import today


def close(request):
    """Whole months: what is open in them, what is blocked from then on, and the act."""
    months = months_to_close(today())
    chosen = _chosen_month(request, months)
    form = ClosingForm(
        request.POST or None,
        months=months,
        initial={"through": chosen.isoformat()} if chosen else None,
    )
    return write_page(
        request,
        form,
        close_book,
        template="production/closing/close.html",
        title="Close a month",
        months=months,
        chosen=chosen,
        open=still_open(chosen) if chosen else [],
        closing=Closing.objects.order_by("-through").first(),
        button="Close the month",
        to="history",
    )


def _chosen_month(request, months):
    """The month that the address or the form names, else the earliest open one."""
    asked = request.POST.get("through") or request.GET.get("through", "")
    named = [day for day in months if day.isoformat() == asked]
    return (named or months or [None])[0]
