"""The facts of a label for a web shop, to read, copy and download."""

import csv
import io

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify

from labels.domain.shop import as_plain_text, shop_facts
from labels.files import faces
from labels.files.dressing import dress_for
from labels.forms.labels import PlaceForm
from labels.reads.drawn import Wanted, drawn
from labels.reads.facts import card_of
from labels.reads.rules import rule_set
from production.models import Lot
from production.quantities.domain.refusal import Refused


def lot_shop(request, code):
    """What a page on the web says of a product: the words of its label."""
    lot = get_object_or_404(Lot.objects.select_related("item", "deed"), code=code)
    form = PlaceForm(request.GET, card=card_of(lot.item))
    page = {"lot": lot, "form": form}
    if form.is_valid():
        asked = form.cleaned_data
        wanted = Wanted(rules=rule_set(asked["rules"]), sold_in=asked["sold_in"])
        try:
            drawing, content = drawn(
                form.card, lot, wanted, faces(), dress_for(form.card)
            )
        except Refused as refusal:
            page["refused"] = str(refusal)
        else:
            facts = shop_facts(lot.item.name, content)
            if request.GET.get("as") == "csv" and not drawing.draft:
                return _as_csv(lot, facts)
            page |= {
                "facts": facts,
                "text": as_plain_text(facts),
                "draft": drawing.draft,
                "rules": wanted.rules,
            }
    return render(request, "labels/shop.html", page)


def _as_csv(lot, facts):
    out = io.StringIO()
    rows = csv.writer(out)
    rows.writerow([head for _, head, _ in facts])
    rows.writerow([words for *_, words in facts])
    name = f"shop-{slugify(lot.item.name)}-{slugify(lot.code)}.csv"
    return HttpResponse(
        out.getvalue(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
