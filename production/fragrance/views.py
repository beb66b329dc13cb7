"""The papers of a fragrance, and what they allow at the strength it is used at."""

from decimal import Decimal

from django.contrib import messages
from django.shortcuts import redirect
from django.urls import reverse

from production.fragrance.actions import confirm_document, note_document
from production.fragrance.domain import flash_caution, judge_all
from production.fragrance.forms import (
    DocumentForm,
    SameDocumentForm,
    StrengthForm,
    as_printed,
)
from production.fragrance.reads import editions_of, papers_of, told_otherwise
from production.pages.views.pages import write_page
from production.quantities.domain.numbers import whole_number
from production.stock.models.readings import FragranceDocument
from production.stock.reads.on_labels import said_of_labels
from production.stock.views.lots import the_lot
from production.workshop.models.items import Item


def fragrance(request, code):
    """Its documents and the form for a newer one; of a blend, what it is made of."""
    lot = the_lot(code)
    papers = papers_of([lot.pk])
    document = papers.documents.get(lot.pk)
    own = lot.item.category == Item.Category.FRAGRANCE
    first, rows = as_printed(document)
    strength = StrengthForm(request.GET or None)
    written = FragranceDocument.objects.filter(lot=lot).select_related("deed__by")
    return write_page(
        request,
        DocumentForm(request.POST or None, initial=first, rows={"constituents": rows}),
        note_document,
        extra={"lot": lot},
        template="production/fragrance/fragrance.html",
        title=f"Fragrance {lot}",
        lot=lot,
        own=own,
        blend=lot.pk in papers.blends,
        document=document,
        parts=_parts(papers, lot) if document is None else (),
        caution=flash_caution(document.flash_point)
        if document is not None and document.flash_point is not None
        else "",
        strength=strength,
        remarks=_remarks(papers, lot, strength),
        on_labels=said_of_labels([lot]),
        written=list(written.prefetch_related("constituents")),
        editions=editions_of(lot) if own else (),
        otherwise=told_otherwise(lot) if own else (),
        attachments=lot.attachments.all(),
        button="Write the document",
        done=lambda made: f"{made.edition} of {lot} is in force.",
        to=request.path,
    )


def same_document(request, code):
    """This lot has the ``document`` that was typed for another lot of the fragrance."""
    lot = the_lot(code)
    rows = FragranceDocument.objects.select_related("lot__item")
    pk = whole_number(request.GET.get("document", ""))
    like = rows.filter(pk=pk, lot__item=lot.item_id).first()
    if like is None:
        messages.error(request, "Choose the document on this page, or write it here.")
        return redirect("lot-fragrance", lot.code)
    dated = f", dated {like.dated:%Y-%m-%d}" if like.dated else ""
    return write_page(
        request,
        SameDocumentForm(request.POST or None),
        confirm_document,
        extra={"lot": lot, "like": like},
        title=f"{like.edition} for {lot}",
        says=f"The document {like.edition}{dated} was typed for {like.lot}. What it "
        f"says of {lot.item} is written for {lot} too, and nothing is typed again.",
        button="It is the same document",
        done=lambda made: f"{made.edition} of {lot} is in force.",
        to=reverse("lot-fragrance", args=[lot.code]),
    )


def _parts(papers, lot):
    """What a blend is made of, with the share of each for the page."""
    if lot.pk not in papers.blends:
        return []
    poured = papers.poured(lot, Decimal(1))
    return [(one, round(one.share, 4)) for one in poured]


def _remarks(papers, lot, strength):
    """None before a strength is asked about."""
    if not strength.is_bound or not strength.is_valid():
        return None
    facts = strength.cleaned_data
    return judge_all(papers.poured(lot, facts["share"]), warmth=facts["warmth"])
