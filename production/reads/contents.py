"""What is in a lot, from its family behind it, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable
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
    pks = back_closure(lot.pk) | {lot.pk}
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
            supplied=None if row.batch_id else supplied(row, tuple(values[row.pk])),
        )
        for row in lots
    ]
    return contents(facts, _batches(lots, started))[lot.code]


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
    """What an item is in the pot; "" where nobody has said.

    A strong alkali is one whatever its card leaves open: its name is enough.
    """
    if item.is_alkali:
        return "alkali"
    if item.kind == Item.Kind.PACKAGING:
        return "packaging"
    if item.category:
        return item.category if item.category in ROLES else "material"
    if item.name_on_label is not None:
        role = item.name_on_label.role
        return role if role in ROLES else "material" if role else ""
    return "oil" if item.oil_id else ""


def materials_without_role() -> list[Item]:
    """Materials of which neither card nor name says what they are in the pot."""
    rows = Item.objects.filter(kind=Item.Kind.MATERIAL, category="")
    rows = rows.select_related("name_on_label").order_by("name")
    return [item for item in rows if not role_of(item)]


def supplied(lot: Lot, values: tuple[Value, ...]) -> Supplied:
    """What a lot from outside is in the pot."""
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
            made=grams_of(lot, started[lot.pk]),
            steam=steam[lot.batch_id],
            other_losses=other[lot.batch_id],
        )
        for lot in made
    ]


def grams_of(lot: Lot, amount: Decimal) -> Decimal | None:
    """Grams of so much of a lot; None of pieces without a net mass."""
    if lot.item.unit == Item.Unit.GRAM:
        return amount
    return net_grams(amount, lot.net_mass)
