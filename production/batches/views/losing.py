"""What was lost of a batch, by its right name, and a batch that is lost whole."""

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.html import format_html

from production.batches.actions.losing import lose_batch, name_loss, rename_loss
from production.batches.forms.losses import LoseForm, LossForm, RenameForm
from production.pages.views.pages import write_page
from production.quantities.domain.numbers import plain
from production.stock.models.batches import Batch, Loss


def loss(request, code):
    found = get_object_or_404(Batch, code=code)
    return write_page(
        request,
        LossForm(request.POST or None),
        name_loss,
        extra={"batch": found},
        title=f"Name a loss of {found}",
        says="Steam, what stayed on the walls, a bench sample, the scale: what is left "
        "carries their cost. A spill, burnt or dropped is an expense.",
        button="Name the loss",
        to=found,
    )


def rename(request, pk):
    found = Loss.objects.filter(pk=pk).select_related("batch", "root").first()
    if found is None:
        raise Http404
    return write_page(
        request,
        RenameForm(request.POST or None),
        rename_loss,
        extra={"loss": found},
        title=f"Call a loss of {found.batch} otherwise",
        says=f"{plain(found.amount)} g are in the book as {found.kind}. The grams "
        "stay as they are; what they cost goes where the new name belongs.",
        button="Call it so",
        done=lambda row: _renamed(row, found),
        to=found.batch,
    )


def _renamed(row, found):
    """What it was, what it is, and where the money went."""
    says = f"{plain(row.amount)} g are {row.kind} now, and no longer {found.kind}."
    lot = getattr(row.batch, "lot", None)
    if lot is None:
        return says
    page = reverse("lot-cost", args=[lot.code])
    return format_html('{} <a href="{}">See what it did to the cost</a>', says, page)


def lose(request, code):
    found = get_object_or_404(Batch, code=code)
    return write_page(
        request,
        LoseForm(request.POST or None),
        lose_batch,
        extra={"batch": found},
        title=f"All of {found} was lost",
        says="It ends with no lot. What went in and the hours of it are an expense; "
        "what went in is still found from its lots.",
        button="Write the loss",
        cautions="cautions/lye.html" if _holds_lye(found) else "",
        done=f"{found} is closed: it was lost.",
        to=found,
    )


def _holds_lye(batch):
    """A pot that boiled over is wiped up by hand."""
    return any(
        row.lot.item.is_alkali
        for row in batch.movements.standing().select_related("lot__item")
    )
