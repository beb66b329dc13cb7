"""Files beside a lot, a batch or a purchase: put there, listed, taken out."""

from functools import partial

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.http import content_disposition_header

from production.attachments.actions import attach_file
from production.attachments.forms import AttachForm
from production.attachments.models import Attachment
from production.buying.models import Purchase
from production.pages.views.pages import write_page
from production.papers.domain.papers import TYPES
from production.papers.files.attachments import load, store
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot


def to_lot(request, code):
    return _attach(request, lot=get_object_or_404(Lot, code=code))


def to_batch(request, code):
    return _attach(request, batch=get_object_or_404(Batch, code=code))


def to_purchase(request, pk):
    return _attach(request, purchase=get_object_or_404(Purchase, pk=pk))


def _attach(request, **to):
    [(kind, thing)] = to.items()
    return write_page(
        request,
        AttachForm(request.POST or None, request.FILES),
        attach_file,
        extra={**to, "store": partial(store, settings.HOME)},
        template="production/attachments/attach.html",
        title="Attach a file",
        about=f"{kind} {thing}",
        says="A certificate, a photo, a safety data sheet. It stays: a wrong one is "
        "not taken out, the right one is attached beside it.",
        button="Attach the file",
        done=lambda made: f"{made} is attached.",
        to=thing,
        papers=thing.attachments.select_related("deed__by"),
    )


def attachment(request, pk):
    """The file as it was attached; a browser saves it and never runs it."""
    found = get_object_or_404(Attachment, pk=pk)
    raw = load(settings.HOME, found.sha256)
    if raw is None:
        page = {"paper": found}
        return render(
            request, "production/attachments/attachment_gone.html", page, status=404
        )
    kind = found.type if found.type in TYPES.values() else "application/octet-stream"
    if kind.startswith("text/"):
        kind += "; charset=utf-8"
    return HttpResponse(
        raw,
        content_type=kind,
        headers={
            "Content-Disposition": content_disposition_header(True, found.name),
            "X-Content-Type-Options": "nosniff",
        },
    )
