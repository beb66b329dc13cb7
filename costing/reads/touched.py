"""Which values a deed touches: the lots, and the batches, that are to be re-worked."""

from collections import defaultdict
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from django.db import connection
from django.db.models import Q

from production.buying.models import ExtraCost, LinePrice, PurchaseLine
from production.models import (
    Batch,
    Deed,
    Loss,
    LostBatch,
    Lot,
    Movement,
    Promotion,
    Work,
)
from production.models import Restated as RestatedRow

OF = RestatedRow.Of
KIND = Movement.Kind


@dataclass(slots=True)
class Touched:
    """``lots`` are walked from their start; of ``went`` only the new entries, if they
    come after all others of their lot."""

    lots: set[int] = field(default_factory=set)
    batches: set[int] = field(default_factory=set)
    went: dict[int, list[Movement]] = field(default_factory=lambda: defaultdict(list))
    purchases: set[int] = field(default_factory=set)
    lines: set[int] = field(default_factory=set)
    extras: set[int] = field(default_factory=set)
    work: set[int] = field(default_factory=set)
    losses: set[int] = field(default_factory=set)
    entries: set[int] = field(default_factory=set)
    weighed: set[int] = field(default_factory=set)
    items: set[int] = field(default_factory=set)

    def __bool__(self) -> bool:
        return bool(self.lots or self.batches or self.went)


# What each row that a deed wrote, or took back, names; a lot that was made comes with
# its batch. Asked so that no index but that of the deed is taken.
ROWS = (
    (Lot, "id", "lots", " AND COALESCE(batch_id, 0) = 0"),
    (Batch, "id", "batches", ""),
    (Loss, "batch_id", "batches", ""),
    (LostBatch, "batch_id", "batches", ""),
    (Promotion, "batch_id", "batches", ""),
    (Work, "batch_id", "batches", ""),
    (PurchaseLine, "purchase_id", "purchases", ""),
    (LinePrice, "line_id", "lines", ""),
    (ExtraCost, "purchase_id", "purchases", ""),
)
# What was said anew, by what it was said of. A code, a day or a name is no value.
SAID = {
    OF.PURCHASE: ("purchases", {"rate", "currency"}),
    OF.LINE: ("lines", {"shipping_weight"}),
    OF.EXTRA_COST: ("extras", {"kind", "amount", "by", "currency", "rate"}),
    OF.LOT: ("weighed", {"net_mass", "item"}),
    OF.BATCH: ("batches", {"expected"}),
    OF.ENTRY: ("entries", {"value"}),
    OF.WORK: ("work", {"kind", "hours", "power", "rate", "on"}),
    OF.LOSS: ("losses", {"amount"}),
    OF.ITEM: ("items", {"kind", "unit"}),
}


def touched_by(deed: Deed) -> Touched:
    """By it, and by the deeds that were written within it; two queries where none is.

    What one of them takes back is touched like what it writes.
    """
    rows = Deed.objects.filter(pk__gte=deed.pk).order_by("pk")
    pairs = rows.values_list("pk", "undoes")
    deeds = {pk for pair in pairs for pk in pair if pk is not None}
    found = Touched()
    if _from_rows(found, sorted(deeds)):
        moved = Movement.objects.filter(deed__gte=deed.pk)
        for row in moved.select_related("lot__line"):
            _moved(found, row)
    _look_up(found)
    return found


def _moved(found: Touched, row: Movement) -> None:
    again = row.kind == KIND.REVERSED or row.rank is not None
    if again or row.kind in Movement.STARTS:
        if row.lot.batch_id is None or row.lot.batch_id != row.batch_id:
            found.lots.add(row.lot_id)
        if row.lot.line is not None:
            found.purchases.add(row.lot.line.purchase_id)
    else:
        found.went[row.lot_id].append(row)
    if row.batch_id is not None:
        found.batches.add(row.batch_id)


@cache
def _statement(deeds: int) -> str:
    """Every row that so many deeds wrote, in one question."""
    of, row = (connection.ops.quote_name(name) for name in ("of", "row"))
    asked = [
        *(
            (f"'{name}'", column, "''", model, only)
            for model, column, name, only in ROWS
        ),
        (of, row, "field", RestatedRow, ""),
        ("'moved'", "COUNT(*)", "''", Movement, ""),
    ]
    marks = ", ".join(["%s"] * deeds)
    return " UNION ALL ".join(
        f"SELECT {name}, {column}, {said} FROM {model._meta.db_table} "
        f"WHERE deed_id IN ({marks}){only}"
        for name, column, said, model, only in asked
    )


def _from_rows(found: Touched, deeds: list[int]) -> bool:
    """What rows of these deeds name; whether any of them moved something."""
    moved, statement = False, _statement(len(deeds))
    with connection.cursor() as cursor:
        cursor.execute(statement, deeds * (len(ROWS) + 2))
        rows: list[tuple[str, Any, str]] = cursor.fetchall()
    for name, pk, said in rows:
        if name == "moved":
            moved = bool(pk)
        elif not said:
            getattr(found, name).add(pk)
        elif name in SAID and said in SAID[OF(name)][1]:
            getattr(found, SAID[OF(name)][0]).add(pk)
    return moved


def _look_up(found: Touched) -> None:
    """From what was named to the lots and batches whose values hang on it."""
    if found.entries:
        rows = Movement.objects.filter(
            Q(pk__in=found.entries) | Q(rank__in=found.entries)
        )
        found.lots |= set(rows.values_list("lot", flat=True))
    if found.work:
        rows = Work.objects.filter(pk__in=found.work)
        found.batches |= set(rows.values_list("batch", flat=True))
    if found.losses:
        losses = Loss.written.filter(pk__in=found.losses)
        found.batches |= set(losses.values_list("batch", flat=True))
    if found.weighed or found.items:
        _weighed(found)
    if found.lines:
        billed = PurchaseLine.objects.filter(pk__in=found.lines)
        found.purchases |= set(billed.values_list("purchase", flat=True))
    if found.extras:
        extras = ExtraCost.written.filter(pk__in=found.extras)
        found.purchases |= set(extras.values_list("purchase", flat=True))
    if found.purchases:
        lots = Lot.objects.filter(line__purchase__in=found.purchases)
        found.lots |= set(lots.values_list("pk", flat=True))


def _weighed(found: Touched) -> None:
    """What one piece of a lot weighs: its bill, its batch, and those it went into."""
    lots = Lot.objects.filter(Q(pk__in=found.weighed) | Q(item__in=found.items))
    for pk, batch, purchase in lots.values_list("pk", "batch", "line__purchase"):
        found.lots.add(pk)
        if batch is not None:
            found.batches.add(batch)
        if purchase is not None:
            found.purchases.add(purchase)
    uses = Movement.objects.used().filter(lot__in=lots)
    found.batches |= set(uses.values_list("batch", flat=True))
