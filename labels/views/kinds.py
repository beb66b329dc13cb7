"""What kind of product it is, what then applies, and what the maker decides."""

from django.shortcuts import get_object_or_404

from labels.actions.assessments import decide_kind
from labels.domain.bath import BATH_FOAM, foaming_bath
from labels.domain.kind import NOT_BULK, a_kind, kinds
from labels.forms.assessments import KindForm
from labels.forms.labels import RULES
from labels.reads.beyond import compared_with
from labels.reads.facts import card_of
from labels.reads.kind_tables import kind_book
from labels.reads.kinds import held_by, kind_for, source_of
from production.models import Item
from production.pages.views.pages import write_page
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today


def item_kind(request, pk):
    item = get_object_or_404(Item, pk=pk)
    card, lot = card_of(item), source_of(item, None)
    asked = request.GET.get("rules", card.rules)
    code = asked if asked in dict(RULES) else card.rules
    book = kind_book(code)
    held = held_by(lot)
    found = kind_for(card, held, book)
    form = KindForm(request.POST or None, kinds=kinds(book.table))
    here = f"{request.path}?rules={code}"
    return write_page(
        request,
        form,
        decide_kind,
        extra={
            "item": item,
            "rules": code,
            "ours": found.ours,
            "over": found.over,
        },
        template="labels/kind.html",
        title=f"Kind of product: {item}",
        item=item,
        lot=lot,
        card=card,
        code=code,
        rules=RULES,
        found=found,
        outdated=a_kind(found.outdated.kind) if found.outdated else "",
        bulk_tells=any(line.tips == NOT_BULK for line in book.table),
        bath=_bath(card, book),
        held=_restricted(card, lot, held, code),
        button="Write the decision",
        done=lambda made: f"{item} is {a_kind(made.kind)}.",
        to=here,
    )


def _bath(card, book):
    """The caution of a foaming bath, where these rules have one and it is due."""
    if not any(duty.kind == BATH_FOAM for duty in book.duties):
        return None
    return foaming_bath(
        added_to_bath=card.bath_foam,
        adults_only=card.adults_only,
        for_children=card.for_children,
    )


def _restricted(card, lot, held, code):
    """What the table of restricted substances says of the last lot, or why nothing."""
    try:
        return compared_with(card, lot, held, code, today())
    except Refused as refusal:
        return {"why": str(refusal)}
