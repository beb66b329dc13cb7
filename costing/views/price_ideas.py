"""What to ask for a product that does not exist, beside its variants."""

from django.shortcuts import get_object_or_404, render

from costing.forms.prices import WantedForm
from costing.models import ProductIdea
from costing.reads.prices import targets
from costing.reads.unmade import planned_pieces
from costing.views.prices import facts_of, was_asked, worked_out


def price_idea(request, pk):
    """An idea and its variants in every channel; nothing is written."""
    row = get_object_or_404(ProductIdea.objects.select_related("variant_of"), pk=pk)
    root = row.variant_of or row
    family = [root, *root.variants.order_by("pk")]
    target = targets().all
    first = {} if target is None else {"margin": target}
    form = WantedForm(request.GET if was_asked(request) else None, initial=first)
    facts = facts_of(form, first)
    pieces = [_piece(one, facts) for one in planned_pieces(family)]
    [own] = [one for one in pieces if one["idea"].pk == row.pk]
    page = {"idea": row, "form": form, "pieces": pieces, "own": own, **own}
    return render(request, "costing/price_idea.html", page)


def _piece(planned, facts):
    found = {"idea": planned.idea, "says": planned.says}
    if planned.opened is not None and not planned.says:
        hours = planned.opened.hours
        found |= worked_out(planned.opened.of.parts, facts, hours, None)
    return found
