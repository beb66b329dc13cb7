"""One label for two markets: whether their rules agree on it, and if not, where."""

from django.shortcuts import get_object_or_404, render

from labels.domain.agreement import one_label_for_both
from labels.files import faces
from labels.files.dressing import dress_for
from labels.reads.drawn import Wanted, drawn
from labels.reads.facts import card_of
from labels.reads.rules import rule_set
from production.models import Lot
from production.quantities.domain.refusal import Refused

BOTH = ("us", "ca")


def lot_both(request, code):
    """The label of a lot for the US and for Canada, beside each other."""
    lot = get_object_or_404(Lot.objects.select_related("item", "deed"), code=code)
    card, page = card_of(lot.item), {"lot": lot}
    try:
        dress = dress_for(card)
        (one, first), (other, second) = (
            drawn(card, lot, Wanted(rules=rule_set(code)), faces(), dress)
            for code in BOTH
        )
    except Refused as refusal:
        page["refused"] = str(refusal)
    else:
        page |= {
            "reasons": one_label_for_both(first, second),
            "labels": [
                (rule_set(code), drawing.missing)
                for code, drawing in zip(BOTH, (one, other), strict=True)
            ],
        }
    return render(request, "labels/both.html", page)
