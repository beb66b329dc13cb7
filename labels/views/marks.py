"""The maker's own mark, of all products or of one."""

from functools import partial

from django.conf import settings
from django.shortcuts import get_object_or_404
from django.urls import reverse

from labels.actions.marks import keep_mark
from labels.files.marks import mark_of, read_mark
from labels.files.picture import mark_picture
from labels.forms.marks import MarkForm
from labels.reads.marks import mark_for, own_mark
from production.models import Item
from production.pages.views.pages import card_page
from production.papers.files.attachments import load, store

ON_ALL = "It stands on the front of every label."
ON_ONE = "It stands on the front of its labels, instead of the one of all products."


def workshop_mark(request):
    return _mark(request, None, own_mark(None), "Your mark", reverse("sheets"))


def item_mark(request, pk):
    item = get_object_or_404(Item, pk=pk)
    back = reverse("item-label", args=[item.pk])
    return _mark(request, item, mark_for(item), f"The mark on {item}", back)


def _mark(request, item, row, title, back):
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    raw = load(settings.HOME, row.sha256) if row else None
    return card_page(
        request,
        MarkForm(*sent, read=_paper),
        keep_mark,
        extra={"item": item, "store": partial(store, settings.HOME)},
        template="labels/mark.html",
        title=title,
        says=ON_ONE if item else ON_ALL,
        button="Take the mark",
        done="The labels follow.",
        to=lambda made: back,
        standing=mark_picture(mark_of(row.type, raw)) if raw else "",
    )


def _paper(sent):
    return read_mark(sent.name, sent.read())
