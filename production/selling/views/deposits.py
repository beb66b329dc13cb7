"""What is owed of deposits, and empties that come back."""

from django.http import Http404
from django.shortcuts import get_object_or_404, render

from production.pages.views.pages import write_page
from production.quantities.domain.numbers import ZERO
from production.selling.actions.deposits import look_at_empties, take_empties_back
from production.selling.forms.deposits import EmptiesForm, WashedForm
from production.selling.models import SaleLine
from production.selling.reads.deposits import deposits as owed
from production.selling.reads.deposits import empties_of, to_wash
from production.stock.models.lots import Lot


def deposits(request):
    parties = owed()
    return render(
        request,
        "production/selling/deposits.html",
        {
            "parties": parties,
            "in_all": sum((one.owed for one in parties), ZERO),
            "with_them": sum((one.with_them for one in parties), ZERO),
            "to_wash": to_wash(),
        },
    )


def take_back(request):
    line = SaleLine.objects.filter(deposit__gt=0).order_by("-pk").first()
    first = {name: request.GET.get(name) for name in ("customer", "channel")}
    first["deposit"] = line.deposit if line else None
    return write_page(
        request,
        EmptiesForm(request.POST or None, initial=first),
        take_empties_back,
        title="Take empties back",
        says="The deposit goes back to who paid it. The bottles are a lot of their "
        "own, in quarantine until they are washed and looked at.",
        button="Take them back",
        done=lambda back: f"{back} is in the book, and waits to be washed.",
    )


def wash(request, code):
    lot = get_object_or_404(Lot.objects.with_on_hand(), code=code)
    if lot.pk not in empties_of([lot]):
        raise Http404
    return write_page(
        request,
        WashedForm(request.POST or None, lot=lot),
        look_at_empties,
        extra={"lot": lot},
        title=f"Wash and look at {lot}",
        about=f"{lot.item}",
        says="What is clean and whole may be filled again.",
        button="They are washed",
        done=f"What was seen of {lot} is in the book.",
        to=lot,
    )
