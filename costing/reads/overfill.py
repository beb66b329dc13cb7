"""What bottles hold beyond their recipe's fill: a memo, since it is in their cost."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.reads.on_date import ValuedFlow
from production.models import Batch, Item, Lot, Movement
from production.quantities.domain.numbers import ZERO
from production.yields.reads import outturns, terms_of

KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class Overfill:
    """Grams beyond the fill in all bottles of one filling, and what they cost in nano;
    None while the cost of what is inside is not known."""

    batch: Batch
    grams: Decimal
    nano: int | None


def overfills(
    flows: Iterable[ValuedFlow], after: date | None, through: date
) -> list[Overfill]:
    """Of each batch that filled bottles in the period, where they hold more.

    What went in, less what was named as lost, over what the pieces should hold: by
    the recipe what one piece takes, else its net mass. ``flows`` are those of the
    book through the last day.
    """
    made = Movement.objects.made().filter(on__lte=through, lot__item__unit="piece")
    if after is not None:
        made = made.filter(on__gt=after)
    batches = list(
        Batch.objects.filter(pk__in=made.values("batch")).order_by("started", "pk")
    )
    if not batches:
        return []
    codes = {batch.code for batch in batches}
    poured: dict[str, list[ValuedFlow]] = defaultdict(list)
    for flow in flows:
        if flow.kind == KIND.USED and flow.batch and flow.batch in codes:
            poured[flow.batch].append(flow)
    lots = {flow.lot for rows in poured.values() for flow in rows}
    grams = set(
        Lot.objects.filter(code__in=lots, item__unit=Item.Unit.GRAM).values_list(
            "code", flat=True
        )
    )
    items = dict(Lot.objects.filter(code__in=grams).values_list("code", "item_id"))
    terms = terms_of({batch.version_id for batch in batches} - {None})
    out_of, found = outturns(batches), []
    for batch in batches:
        out = out_of[batch.pk]
        if out.made is None:
            continue
        inside = [flow for flow in poured[batch.code] if flow.lot in grams]
        takes = terms[batch.version_id].each if batch.version_id in terms else None
        by_recipe = sum(
            ((takes or {}).get(item, ZERO) for item in {items[f.lot] for f in inside}),
            ZERO,
        )
        each = by_recipe or out.made.net_mass
        total = -sum((flow.amount for flow in inside), ZERO)
        if not each or not total:
            continue
        more = total - sum(out.named.values(), ZERO) - each * out.made.amount
        if more > 0:
            known = all(flow.known for flow in inside)
            nano = sum(sum(flow.parts.values()) for flow in inside)
            cost = int(nano * more / total) if known else None
            found.append(Overfill(batch, more, cost))
    return found
