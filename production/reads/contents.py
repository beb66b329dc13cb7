"""What is in a lot, from its family behind it, in a fixed number of queries."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from production.domain.balance import net_grams
from production.domain.contents import (
    BatchFacts,
    Contents,
    Flow,
    LotFacts,
    Supplied,
    Value,
    contents,
)
from production.models import Item, Loss, Lot, Measurement, Movement
from production.reads.batches import standing_losses
from production.reads.trace import back_closure

KIND = Movement.Kind
STARTS = {KIND.RECEIVED, KIND.OPENING, KIND.MADE}
BASES = (Measurement.Basis.STATED, Measurement.Basis.MEASURED)
ROLES = {"oil", "alkali", "water", "acid"}


def contents_of(lot: Lot) -> Contents:
    """Follow one lot back to what was bought and work out what it holds."""
    return contents(*_family(back_closure(lot.pk) | {lot.pk}))[lot.code]


def poured_from(uses: Sequence[tuple[Lot, Decimal, date]]) -> list[Contents]:
    """What each use takes out of its lot on its day, written in the book or not."""
    pks = {lot.pk for lot, _, _ in uses}
    for lot in {lot for lot, _, _ in uses if lot.batch_id}:
        pks |= back_closure(lot.pk)
    facts, batches = _family(pks)
    known = {fact.code: fact for fact in facts}
    for number, (lot, amount, on) in enumerate(uses):
        # A pot of its own for each use; no code of the book begins like this.
        pot = f"\0{number}"
        known[lot.code] = _with_flow(known[lot.code], Flow("used", -amount, on, pot))
        known[pot] = LotFacts(pot, Decimal(0), (), batch=pot)
        batches.append(BatchFacts(pot, "", made=None))
    found = contents(known.values(), batches)
    return [found[f"\0{number}"] for number in range(len(uses))]


def _with_flow(lot: LotFacts, flow: Flow) -> LotFacts:
    """In its place in the book's order: the last of its day."""
    spot = bisect_right([one.on for one in lot.flows], flow.on)
    return replace(lot, flows=(*lot.flows[:spot], flow, *lot.flows[spot:]))


def _family(pks: set[int]) -> tuple[list[LotFacts], list[BatchFacts]]:
    """The lots of a family with what became of them, and the batches that made them."""
    lots = Lot.objects.filter(pk__in=pks).select_related(
        "item__oil", "item__name_on_label", "batch"
    )
    rows = (
        Movement.objects.standing()
        .filter(lot__in=pks)
        .in_book_order()
        .values_list("lot_id", "kind", "amount", "on", "batch__code")
    )
    flows: dict[int, list[Flow]] = defaultdict(list)
    started: dict[int, Decimal] = defaultdict(Decimal)
    for pk, kind, amount, on, batch in rows:
        if kind in STARTS:
            started[pk] += amount
        else:
            flows[pk].append(Flow(kind, amount, on, batch or ""))
    values = _values(pks)
    facts = [
        LotFacts(
            code=row.code,
            started=started[row.pk],
            flows=tuple(flows[row.pk]),
            batch=row.batch.code if row.batch_id else "",
            supplied=None if row.batch_id else _supplied(row, tuple(values[row.pk])),
        )
        for row in lots
    ]
    return facts, _batches(lots, started)


def _values(pks: Iterable[int]) -> dict[int, list[Value]]:
    """Readings of the lots: a measured value outranks a stated one of the same day."""
    rows = Measurement.objects.filter(
        lot__in=pks, value__isnull=False, basis__in=BASES
    ).order_by("on", "-basis", "id")
    found: dict[int, list[Value]] = defaultdict(list)
    for row in rows:
        found[row.lot_id].append(Value(row.on, row.what, row.value))
    return found


def role_of(item: Item) -> str:
    """What an item is in the pot; "" where nobody has said."""
    if item.kind == Item.Kind.PACKAGING:
        return "packaging"
    if item.category:
        return item.category if item.category in ROLES else "material"
    if item.name_on_label is not None:
        role = item.name_on_label.role
        return role if role in ROLES else "material" if role else ""
    return "oil" if item.oil_id else ""


def soap_from_outside(lot: Lot) -> bool:
    """Soap that was not cooked here: nobody knows what fat and alkali it holds."""
    item = lot.item
    made_before = item.kind == Item.Kind.MADE and not lot.batch_id and not item.category
    return item.category == Item.Category.SOAP or (made_before and not role_of(item))


def _supplied(lot: Lot, values: tuple[Value, ...]) -> Supplied:
    item = lot.item
    return Supplied(
        role=role_of(item),
        item=item.name,
        alkali=item.alkali,
        acid=item.acid,
        sv=item.oil.sv if item.oil else None,
        oil_kind=item.oil.kind if item.oil else "fat",
        values=values,
    )


def _batches(lots: Iterable[Lot], started: dict[int, Decimal]) -> list[BatchFacts]:
    made = [lot for lot in lots if lot.batch_id]
    steam: dict[int, Decimal] = defaultdict(Decimal)
    other: dict[int, Decimal] = defaultdict(Decimal)
    for loss in standing_losses().filter(batch__in=[lot.batch_id for lot in made]):
        into = steam if loss.kind == Loss.Kind.STEAM else other
        into[loss.batch_id] += loss.amount
    return [
        BatchFacts(
            code=lot.batch.code,
            stage=lot.batch.stage,
            made=_grams(lot, started[lot.pk]),
            steam=steam[lot.batch_id],
            other_losses=other[lot.batch_id],
        )
        for lot in made
    ]


def _grams(lot: Lot, amount: Decimal) -> Decimal | None:
    if lot.item.unit == Item.Unit.GRAM:
        return amount
    return net_grams(amount, lot.net_mass)
