"""Lots, batches and bills as values, rolled up whole or as far as a lot needs."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Exists, OuterRef, QuerySet

from costing.domain.rollup import (
    NANO,
    BatchNode,
    Flow,
    LotNode,
    Source,
    Valuation,
    roll_up,
    sources,
)
from production.buying.reads.bills import bills
from production.contents.reads.closure import back_closure
from production.models import (
    Batch,
    LostBatch,
    Lot,
    Movement,
    Promotion,
    PurchaseLine,
    Work,
)
from production.quantities.domain.numbers import ZERO, share_units
from production.record.reads.restated import FIRST, OF, as_now, from_text, told
from production.yields.reads import outturns, standing_work

KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class Book:
    """Lots and batches as values, and what they roll up to."""

    lots: list[LotNode]
    batches: list[BatchNode]
    valuation: Valuation

    def sources(self, code: str) -> list[Source]:
        """The unit cost of one lot, opened down to bought lots and work."""
        return sources(code, self.lots, self.batches, self.valuation)


def whole_book() -> Book:
    """Every lot and batch of the ledger."""
    return _book(Lot.objects.all(), Batch.objects.all(), standing_work())


def book_at(day: date) -> Book:
    """The book as its last entry of that day leaves it, by all that is known now.

    What came, was worked and was accepted by then counts, at prices and shares of
    extra costs as they are known today.
    """
    work = standing_work().filter(on__lte=day)
    return _book(Lot.objects.all(), Batch.objects.all(), work, until=day)


def book_behind(*lots: Lot) -> Book:
    """Lots and all that went into them: enough for their cost, however long the ledger.

    What the lots behind them gave to other batches stays in, as batches still open.
    One walk for each lot that was made.
    """
    pks = {lot.pk for lot in lots}
    pks = pks.union(*(back_closure(lot.pk) for lot in lots if lot.batch_id))
    went = Movement.objects.filter(lot__in=pks, batch__isnull=False).values("batch")
    return _book(
        Lot.objects.filter(pk__in=pks),
        Batch.objects.filter(pk__in=went),
        standing_work().filter(batch__lot__in=pks),
        behind=pks,
    )


# Beyond so many lots one walk over the whole book is shorter than a walk for each.
FEW = 20


def unit_costs(lots: Sequence[Lot]) -> dict[int, Decimal | None]:
    """What one gram or piece of each lot cost, by its key; None is unknown."""
    book = book_behind(*lots) if len(lots) <= FEW else whole_book()
    return {lot.pk: _decimal(book.valuation.lots[lot.code].unit_cost) for lot in lots}


def _decimal(cost: Fraction | None) -> Decimal | None:
    return None if cost is None else Decimal(cost.numerator) / cost.denominator


@dataclass(slots=True)
class _Entries:
    """The standing entries of one lot: what it started with and where it went."""

    started: Decimal
    flows: list[Flow]
    value: Decimal | None = None
    opening: bool = False


def _book(
    some: QuerySet[Lot],
    batches: QuerySet[Batch],
    work: QuerySet[Work],
    behind: set[int] | None = None,
    until: date | None = None,
) -> Book:
    """``behind`` names the lots; None is all of them, without a list of their keys.

    ``until`` leaves out what happened after that day.
    """
    lots = list(some.select_related("item", "batch").order_by("pk"))
    entries = _entries(behind, until)
    bought = _bought(None if behind is None else {lot.line_id for lot in lots})
    abnormal = _abnormal([lot.batch for lot in lots if lot.batch_id])
    nodes = [_node(lot, entries[lot.pk], bought, abnormal) for lot in lots]
    made = {lot.batch_id: lot.code for lot in lots if lot.batch_id}
    hours = _work(work)
    batch_nodes = [
        BatchNode(code, hours.get(pk, {}), made.get(pk), trial and not accepted, lost)
        for pk, code, trial, accepted, lost in batches.annotate(
            accepted=Exists(_accepted(until)), lost=Exists(_lost(until))
        ).values_list("pk", "code", "trial", "accepted", "lost")
    ]
    return Book(nodes, batch_nodes, roll_up(nodes, batch_nodes))


def _accepted(until: date | None) -> QuerySet[Promotion]:
    """Whether a trial was accepted by then."""
    rows = Promotion.objects.filter(batch=OuterRef("pk"))
    return rows if until is None else rows.filter(deed__on__lte=until)


def _lost(until: date | None) -> QuerySet[LostBatch]:
    """Whether a batch was lost whole by then."""
    rows = LostBatch.objects.filter(batch=OuterRef("pk"))
    return rows if until is None else rows.filter(on__lte=until)


def _among(rows: QuerySet, **keys: set[int] | None) -> QuerySet:
    """The rows with one of these keys; None is all rows."""
    [(name, wanted)] = keys.items()
    return rows if wanted is None else rows.filter(**{name: wanted})


def _entries(pks: set[int] | None, until: date | None = None) -> dict[int, _Entries]:
    found: dict[int, _Entries] = defaultdict(lambda: _Entries(ZERO, []))
    rows = _among(Movement.objects.standing(), lot__in=pks).in_book_order()
    if until is not None:
        rows = rows.filter(on__lte=until)
    worth = _worth(pks)
    for pk, lot, kind, amount, batch, sale in rows.values_list(
        "id", "lot_id", "kind", "amount", "batch__code", "sale_line_id"
    ):
        entry = found[lot]
        if kind in Movement.STARTS:
            entry.started += amount
            entry.value = worth.get(pk)
            entry.opening = kind == KIND.OPENING
        else:
            entry.flows.append(Flow(pk, kind, amount, batch, sale))
    return found


def _abnormal(batches: list[Batch]) -> dict[int, Decimal]:
    """What each batch lost as an expense, in the unit of its lot."""
    return {pk: found.abnormal for pk, found in outturns(batches).items()}


def _worth(pks: set[int] | None) -> dict[int, Decimal | None]:
    """What opening stock and water on tap were worth, by their entries."""
    kinds = (KIND.OPENING, KIND.RECEIVED)
    rows = _among(Movement.objects.standing().filter(kind__in=kinds), lot__in=pks)
    found = rows.filter(lot__line=None).annotate(of_line=FIRST)
    found = found.annotate(anew=told(OF.ENTRY, "value", "of_line"))
    return {
        pk: value if anew is None else from_text(Movement, "value", anew)
        for pk, value, anew in found.values_list("id", "value", "anew")
    }


def _node(
    lot: Lot,
    entry: _Entries,
    bought: dict[int, int | None],
    abnormal: dict[int, Decimal],
) -> LotNode:
    """A lot whose arrival or making was taken back is worth nothing, and known."""
    nano: int | None = 0
    if lot.batch_id is None and entry.started:
        if lot.line_id is not None:
            nano = bought[lot.pk]
        else:
            nano = None if entry.value is None else int(entry.value * NANO)
    return LotNode(
        code=lot.code,
        started=entry.started,
        bought={lot.item.component: nano} if nano else {},
        known=nano is not None,
        batch=lot.batch.code if lot.batch_id else None,
        expected=entry.started + abnormal.get(lot.batch_id, ZERO),
        flows=tuple(entry.flows),
        opening=entry.opening,
    )


def _work(rows: QuerySet[Work]) -> dict[int, dict[str, int]]:
    found: dict[int, dict[str, int]] = defaultdict(dict)
    for row in as_now(rows):
        if row.kind == Work.Kind.UNPAID:
            continue
        parts = found[row.batch_id]
        parts[row.kind] = parts.get(row.kind, 0) + round(row.cost * NANO)
    return found


def _bought(wanted: set[int | None] | None) -> dict[int, int | None]:
    """Delivered cost in nano of each bought lot; None while it is not known.

    ``wanted`` are lines; the others of their purchases come in, as they share its bill.
    """
    purchases = None
    if wanted is not None:
        some = PurchaseLine.objects.filter(pk__in=wanted - {None})
        purchases = set(some.values_list("purchase", flat=True))
    found: dict[int, int | None] = {}
    for bill in bills(purchases).values():
        for one, cost in zip(bill.lines, bill.costs(), strict=True):
            found |= _lots_of(one.came, cost)
    return found


def _lots_of(
    amounts: dict[int, Decimal], cost: Decimal | None
) -> dict[int, int | None]:
    if cost is None:
        return dict.fromkeys(amounts)
    shares = share_units(int(cost * NANO), list(amounts.values()))
    return dict(zip(amounts, shares, strict=True))
