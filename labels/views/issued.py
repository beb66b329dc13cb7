"""Labels that went out: issued, opened again, counted, compared, taken back."""

from functools import partial

from django.conf import settings
from django.db.models import BooleanField, ExpressionWrapper, Q
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import slugify

from labels.actions import issuing
from labels.domain.issued import canonical, differences
from labels.files.kept import crossed
from labels.filters import IssuedFilter
from labels.forms.issued import (
    AgainForm,
    ApproveForm,
    CountForm,
    IssueForm,
    WithdrawForm,
)
from labels.forms.labels import LabelForm
from labels.models import IssuedLabel
from labels.reads.facts import card_of, paper_in_use
from labels.reads.issued import (
    causes_to_answer,
    changed_since,
    latest_out,
    taken_back,
    whereabouts,
    why_unfit,
    words_in,
)
from labels.tables import IssuedLabels
from labels.views.answers import pdf_answer
from labels.views.drawing import (
    draft_today,
    drawn,
    sentences,
    to_issue,
    words_today,
)
from labels.views.labels import label_address, title_of
from production.models import Item, Lot
from production.pages.views.pages import list_page, signed_page, write_page
from production.papers.files.attachments import load, store
from production.quantities.domain.refusal import Refused
from production.record.actions.people import is_owner


def lot_issue(request, code):
    lot = get_object_or_404(Lot.objects.select_related("item", "deed"), code=code)
    return _issue(request, lot.item, lot)


def item_issue(request, pk):
    return _issue(request, get_object_or_404(Item, pk=pk), None)


def _issue(request, item, lot):
    """Issue what the label page shows; its boxes stand in the address."""
    asked = LabelForm(request.GET, card=card_of(item), paper=paper_in_use())
    back = f"{label_address('', item, lot)}?{request.GET.urlencode()}"
    if not asked.is_valid():
        return redirect(back)

    def act(*, one=False, **facts):
        title = title_of(item, lot)
        return issuing.issue_labels(
            item=item,
            lot=lot,
            made=partial(to_issue, asked, lot, title, one=one),
            store=partial(store, settings.HOME),
            printed=1 if one else asked.cleaned_data["labels"],
            **facts,
        )

    return signed_page(
        request,
        IssueForm(request.POST or None),
        act,
        template="labels/issue.html",
        title=f"Issue labels of {item}",
        about=f"batch {lot}" if lot else "",
        says="What is issued is kept as it is printed, and its labels are counted.",
        button=f"Issue and print {asked.cleaned_data['labels']}",
        done=lambda made: f"{made.printed} issued. Open the file and print it.",
        back=back,
    )


def issued_labels(request):
    gone = ExpressionWrapper(Q(withdrawn__isnull=False), output_field=BooleanField())
    rows = IssuedLabel.objects.reconciled().annotate(gone=gone)
    return list_page(
        request,
        IssuedLabels,
        rows.select_related("item", "lot", "deed", "withdrawn"),
        IssuedFilter,
        title="Issued labels",
        says="Every label that was printed, with what was stuck on, spoiled and is "
        "left. They are kept in the backup; the history file does not carry them.",
        links=[("labels-outdated", "Stock that carries an older text")],
    )


def the_issued(pk):
    rows = IssuedLabel.objects.reconciled().select_related(
        "item", "lot__item", "lot__deed", "deed__by", "withdrawn__deed__by"
    )
    return get_object_or_404(rows, pk=pk)


def issued_label(request, pk):
    found = the_issued(pk)
    others = IssuedLabel.objects.filter(item=found.item_id).exclude(pk=pk)
    return render(
        request,
        "labels/issued.html",
        {
            "issued": found,
            "withdrawn": getattr(found, "withdrawn", None),
            "words": _parts(words_in(found)),
            "changes": _changes(found),
            "stops": stopped(found),
            "others": others.select_related("lot", "deed", "item")[:12],
            "counts": found.counts.select_related("deed__by"),
            "reprints": found.reprints.select_related("deed__by"),
        },
    )


def _parts(words):
    """What it says, part by part, for a page."""
    return [
        (part.replace("_", " ").capitalize(), ", ".join(told))
        for part, told in words.items()
    ]


def _changes(found):
    """What today's label says otherwise; nothing where none can be made."""
    try:
        return changed_since(found, words_today(found))
    except Refused:
        return ()


def stopped(found) -> str:
    """Why it is not printed again, "" where it may be."""
    if hasattr(found, "withdrawn"):
        return "It was taken back: issue the label anew."
    if unfit := why_unfit(found.lot, found.words):
        return " ".join(unfit)
    try:
        changed = changed_since(found, words_today(found))
        if changed:
            return "Its text is not that of today any more: issue the label anew."
        draft = draft_today(found)
    except Refused as refusal:
        return str(refusal)
    if draft:
        return f"Issued today it would be a draft. {' '.join(draft)}"
    return ""


ACROSS = {"gone": "TAKEN BACK", "stopped": "DO NOT USE"}


def issued_pdf(request, pk):
    """The file as it was kept; one that may not be stuck on any more says so across."""
    found = the_issued(pk)
    raw = load(settings.HOME, found.sha256)
    if raw is None:
        return render(request, "labels/issued_gone.html", {"issued": found}, status=404)
    if hasattr(found, "withdrawn"):
        raw = crossed(raw, ACROSS["gone"])
    elif stopped(found):
        raw = crossed(raw, ACROSS["stopped"])
    name = slugify(f"label {found.item} {found.lot or ''} {found.pk}")
    return pdf_answer(raw, name)


def issued_again(request, pk):
    found = the_issued(pk)
    return _deed(
        request,
        AgainForm(request.POST or None),
        issuing.print_again,
        found,
        extra={"stands": partial(stopped, found)},
        title="Print again",
        says="From the kept file: the same label, letter by letter. Say how many more.",
        button="Count them as printed",
        done=lambda made: f"{made.printed} more. Open the file and print it.",
    )


def issued_count(request, pk):
    found = the_issued(pk)
    first = {"used": found.used, "spoiled": found.spoiled}
    return _deed(
        request,
        CountForm(request.POST or None, initial=first),
        issuing.count_labels,
        found,
        title="Count the labels",
        says=f"{found.all_printed} were printed. What is neither stuck on nor spoiled "
        "is left.",
        button="Write the count",
        done="The labels are counted.",
    )


def issued_withdraw(request, pk):
    found = the_issued(pk)
    return _deed(
        request,
        WithdrawForm(request.POST or None),
        issuing.withdraw_labels,
        found,
        title="Take its labels back",
        says=f"All {found.left} that are left count as spoiled: tear them up. "
        f"{found.used} are on bottles: take those off, or stick a right one over them.",
        button="Take them back",
        done="They are taken back.",
    )


def _deed(request, form, act, found, *, extra=None, **words):
    return write_page(
        request,
        form,
        act,
        extra={"issued": found, **(extra or {})},
        about=str(found),
        to=found,
        **words,
    )


def lot_approve(request, code):
    """An owner looks at the text of a held lot and answers for it."""
    lot = get_object_or_404(Lot.objects.select_related("item", "deed"), code=code)
    asked = LabelForm(request.GET, card=card_of(lot.item), paper=paper_in_use())
    causes = causes_to_answer(lot)
    if not asked.is_valid() or not causes:
        return redirect(label_address("", lot.item, lot))
    made = drawn(asked, lot)
    return write_page(
        request,
        ApproveForm(request.POST or None, causes=causes),
        issuing.approve_text,
        extra={
            "lot": lot,
            "rules": made.wanted.rules.code,
            "text": canonical(made.words),
        },
        template="labels/approve.html",
        title=f"Approve the label of {lot.item}",
        about=f"batch {lot}",
        says="The lot stays held. With this text, and no other, its label is printed.",
        told=_parts(made.words),
        may=is_owner(request.user),
        button="Approve this text",
        done=lambda row: _approved(asked, lot),
        to=f"{label_address('', lot.item, lot)}?{request.GET.urlencode()}",
    )


def _approved(asked, lot):
    """What an approval came to: the label is clean, or what it still lacks."""
    draft = sentences(drawn(asked, lot).drawing.missing)
    if draft:
        return f"The text is approved. Its label is still a draft. {' '.join(draft)}"
    return "The text is approved: its label may be issued."


def issued_against(request, pk, other):
    """What changed between two issued labels of one product, the older first."""
    old, new = sorted([the_issued(pk), the_issued(other)], key=lambda one: one.pk)
    if old.item_id != new.item_id:
        raise Http404("These are labels of two products.")
    return render(
        request,
        "labels/issued_against.html",
        {
            "old": old,
            "new": new,
            "changes": differences(words_in(old), words_in(new)),
            "rules_differ": old.edition != new.edition,
        },
    )


def labels_outdated(request):
    """Stock whose label would read otherwise if it were issued today."""
    issued, back = latest_out(), taken_back()
    where = whereabouts([row.lot for row in (*back, *issued)])
    found = []
    for row in back:
        row.where, row.gone = where[row.lot_id], row.withdrawn.deed
        if row.where.on_hand or row.where.sold > 0:
            found.append(row)
    for row in issued:
        spot = where[row.lot_id]
        if not spot.on_hand:
            continue
        row.refused = ""
        try:
            row.changes = changed_since(row, words_today(row))
        except Refused as refusal:
            row.changes, row.refused = (), str(refusal)
        if row.changes or row.refused:
            row.where = spot
            found.append(row)
    return render(
        request,
        "labels/outdated.html",
        {"rows": found, "looked_at": len(issued) + len(back)},
    )
