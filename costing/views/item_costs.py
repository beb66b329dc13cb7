"""What an item cost lot by lot, and why one lot cost more than another."""

from fractions import Fraction

from django.shortcuts import get_object_or_404, render

from costing.domain.components import ORDER
from costing.domain.lot_bars import bars_of
from costing.domain.rollup import NANO
from costing.domain.variances import total, why
from costing.forms.item_costs import PairForm
from costing.reads.lot_costs import costs_of, lots_of, open_lots
from production.models import Item
from production.quantities.domain.units import A_KILO

# As many bars as a page shows without knotting; earlier lots have their own pages.
MOST = 24
# Differences below it are told together; what each is stands behind a fold.
SMALL = Fraction(1, 1000)
# Less than a nano is what rounding left, and no cause; the sum has it all the same.
DUST = Fraction(1, NANO)
WORDS = {
    "price": "price of {}",
    "usage": "usage of {}",
    "mix": "mix of the oils",
    "yield": "yield of the oils",
    "labour rate": "labour rate",
    "labour efficiency": "labour efficiency",
    "overhead": "overhead",
    "cost": "cost of {}",
}


def item_costs(request, pk):
    item = get_object_or_404(Item, pk=pk)
    lots = lots_of(item, MOST)
    costs = costs_of(lots)
    each = Fraction(A_KILO) if item.unit == Item.Unit.GRAM else Fraction(1)
    rows = [_row(lot, costs[lot.pk], each) for lot in lots]
    named = [name for name in ORDER if any(row["parts"].get(name) for row in rows)]
    for row in rows:
        row["cells"] = [(name, row["parts"].get(name)) for name in named]
    known = [row["lot"] for row in rows if row["cost"] is not None]
    page = {
        "item": item,
        "one": "kg" if item.unit == Item.Unit.GRAM else "piece",
        "rows": rows,
        "names": named,
        "picture": bars_of([(row["lot"].code, row["parts"]) for row in rows]),
        "many": len(lots) == MOST,
    }
    page["drawn"] = list(zip(page["picture"].bars, rows, strict=True))
    if len(known) > 1:
        page |= _why(request, known, each)
    return render(request, "costing/item_costs.html", page)


def _row(lot, cost, each):
    parts = {name: nano * each for name, nano in (cost.parts or {}).items()}
    whole = None if cost.cost is None else cost.cost * each
    return {"lot": lot, "parts": parts, "cost": whole}


def _why(request, known, each):
    """Two lots side by side; without a choice the last and the one before it."""
    first = {"earlier": known[-2].code, "later": known[-1].code}
    asked = {name: request.GET.get(name, first[name]) for name in first}
    form = PairForm(asked, lots=known)
    if not form.is_valid():
        return {"form": form}
    by_code = {lot.code: lot for lot in known}
    earlier, later = (by_code[form.cleaned_data[name]] for name in first)
    opened = open_lots(list({earlier.pk: earlier, later.pk: later}.values()))
    a, b = opened[earlier.pk], opened[later.pk]
    found = why(a.puts, b.puts)
    found.sort(key=lambda one: (-abs(one.amount), one.kind, one.of))
    items = {**a.items, **b.items}
    told = [one for one in found if abs(one.amount * each) >= DUST]
    shown = [one for one in found if abs(one.amount * each) >= SMALL]
    return {
        "form": form,
        "earlier": a.of,
        "later": b.of,
        "earlier_cost": a.of.cost * each,
        "later_cost": b.of.cost * each,
        "causes": [_cause(one, a, b, items, each) for one in shown],
        "small": [_cause(one, a, b, items, each) for one in told if one not in shown],
        "rest": total(one for one in found if one not in shown) * each,
        "none": not told,
        "difference": total(found) * each,
    }


def _cause(one, a, b, items, each):
    item = items.get(one.of)
    name = str(item) if item else one.of
    puts = a.puts.get(one.of), b.puts.get(one.of)
    return {
        "variance": one,
        "amount": one.amount * each,
        "words": WORDS[one.kind].format(name),
        "item": item,
        "per": one.kind in ("price", "labour rate"),
        "from_to": _from_to(one.kind, item, puts, each),
    }


def _from_to(kind, item, puts, each):
    """What moved, as (before, after, unit); () where one figure does not say it."""
    before, after = puts
    if kind in ("usage", "labour efficiency"):
        unit = "h" if item is None else item.unit
        return (*(put.amount * each if put else Fraction(0) for put in puts), unit)
    if kind in ("price", "labour rate") and before and after:
        if before.price is None or after.price is None:
            return ()
        grams = item is not None and item.unit == Item.Unit.GRAM
        by = Fraction(A_KILO) if grams else Fraction(1)
        unit = "kg" if grams else "h" if item is None else "piece"
        return (before.price * by, after.price * by, unit)
    return ()
