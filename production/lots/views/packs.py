"""Opening a pack."""

from production.lots.actions import packs as deeds
from production.pages.forms.deed import DeedForm
from production.pages.views.pages import write_page
from production.record.reads.clock import today
from production.stock.views.lots import the_lot


def open_pack(request, code):
    """The button on a lot's page sends no day: it is today's."""
    lot = the_lot(code)
    sent = {"on": str(today()), **request.POST.dict()}
    return write_page(
        request,
        DeedForm(sent if request.method == "POST" else None),
        deeds.open_pack,
        extra={"lot": lot},
        title=f"{lot} stands open",
        about=f"{lot.item}",
        says="Forms take from this pack without asking, until it is empty or another "
        "one stands open.",
        button="This pack stands open",
        done=f"{lot} stands open: {lot.item} is taken from it.",
        to=lot,
    )
