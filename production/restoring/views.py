"""After a restore: what the book has lost, and the owner's answer."""

from production.fitness.reads.restored import waiting_restore
from production.pages.views.pages import write_page
from production.record.actions.people import is_owner
from production.record.reads.clock import today
from production.restoring.actions import say_what_happened
from production.restoring.forms import MoreCodesForm, SinceBackupForm
from production.restoring.reads import alkaline_here, to_count_again
from production.stock.models.restored import Restored
from production.workshop.models.places import Place


def restored(request):
    waits = waiting_restore()
    here = alkaline_here(today()) if waits else []
    shown = Restored.objects.prefetch_related("answers__deed__by")
    # A book that was answered for keeps the box: some code is always found later.
    form = SinceBackupForm if waits or not shown else MoreCodesForm
    return write_page(
        request,
        form(request.POST or None, here=here),
        say_what_happened,
        # A form that is sent again after the answer is answered by its key.
        extra={"restored": waits.restored if waits else shown.last()},
        title="Restored from a backup",
        template="production/restoring/restored.html",
        button="This is all that happened since" if waits else "Add these codes",
        done="The answer is in the book. Every series of codes goes on behind it.",
        to="restored",
        waits=waits,
        here=here,
        owns=is_owner(request.user),
        restores=list(shown.order_by("-pk")),
        to_count=to_count_again(),
        places=Place.objects.order_by("name"),
    )
