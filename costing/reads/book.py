"""Lots, batches and bills as values, rolled up whole or as far as a lot needs."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.db.models import Exists, OuterRef, QuerySet

from costing.domain.delivered import (
    ExtraCost,
    LineBasis,
    delivered,
    split_extra,
    split_line,
)
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
from production.domain.numbers import money
from production.models import (
    Batch,
    LinePrice,
    Lot,
    Movement,
    Promotion,
    PurchaseLine,
)
from production.models import ExtraCost as ExtraCostRow
from production.reads.batches import is_lost, outturns, standing_work
from production.reads.papers import arrivals
from production.reads.restated import FIRST, OF, as_now, from_text, told
from production.reads.trace import back_closure

KIND = Movement.Kind
STARTS = {KIND.RECEIVED, KIND.OPENING, KIND.MADE}
ZERO = Decimal(0)


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


def _book(lots, batches, work, behind: set[int] | None = None) -> Book:
    """``behind`` names the lots; None is all of them, without a list of their keys."""
    lots = list(lots.select_related("item", "batch").order_by("pk"))
    entries = _entries(behind)
    bought = _bought(None if behind is None else {lot.line_id for lot in lots})
    abnormal = _abnormal([lot.batch for lot in lots if lot.batch_id])
    nodes = [_node(lot, entries[lot.pk], bought, abnormal) for lot in lots]
    made = {lot.batch_id: lot.code for lot in lots if lot.batch_id}
    hours = _work(work)
    batch_nodes = [
        BatchNode(code, hours.get(pk, {}), made.get(pk), trial and not accepted, lost)
        for pk, code, trial, accepted, lost in batches.annotate(
            accepted=Exists(Promotion.objects.filter(batch=OuterRef("pk"))),
            lost=is_lost(),
        ).values_list("pk", "code", "trial", "accepted", "lost")
    ]
    return Book(nodes, batch_nodes, roll_up(nodes, batch_nodes))


def _among(rows: QuerySet, **keys: set[int] | None) -> QuerySet:
    """The rows with one of these keys; None is all rows."""
    [(name, wanted)] = keys.items()
    return rows if wanted is None else rows.filter(**{name: wanted})


def _entries(pks: set[int] | None) -> dict[int, _Entries]:
    found: dict[int, _Entries] = defaultdict(lambda: _Entries(ZERO, []))
    rows = _among(Movement.objects.standing(), lot__in=pks).in_book_order()
    worth = _worth(pks)
    for pk, lot, kind, amount, batch, sale in rows.values_list(
        "id", "lot_id", "kind", "amount", "batch__code", "sale_line_id"
    ):
        entry = found[lot]
        if kind in STARTS:
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


def _work(rows) -> dict[int, dict[str, int]]:
    found: dict[int, dict[str, int]] = defaultdict(dict)
    for row in as_now(rows):
        parts = found[row.batch_id]
        parts[row.kind] = parts.get(row.kind, 0) + int(row.hours * row.rate * NANO)
    return found


def _bought(wanted: set[int | None] | None) -> dict[int, int | None]:
    """Delivered cost in nano of each bought lot; None while a price is not known.

    ``wanted`` are lines; the others of their purchases come in, as they share its bill.
    """
    lines, purchases = _lines_with(wanted)
    ids = None if wanted is None else {line.pk for line in lines}
    brought = arrivals(ids)
    extras: dict[int, list[ExtraCostRow]] = defaultdict(list)
    bills = ExtraCostRow.objects
    for extra in as_now(_among(bills, purchase__in=purchases).order_by("pk")):
        extras[extra.purchase_id].append(extra)
    priced = _among(LinePrice.objects, line__in=ids).order_by("pk")
    prices = {row.line_id: row for row in priced}
    by_purchase: dict[int, list[PurchaseLine]] = defaultdict(list)
    for line in lines:
        if line.pk in brought:
            by_purchase[line.purchase_id].append(line)
    found: dict[int, int | None] = {}
    for purchase, stocked in by_purchase.items():
        costs = _line_costs(stocked, prices, extras[purchase], brought)
        for line, cost in zip(stocked, costs, strict=True):
            found |= _lots_of(brought[line.pk], cost)
    return found


def _lines_with(
    wanted: set[int | None] | None,
) -> tuple[list[PurchaseLine], set[int] | None]:
    """The lines of the purchases that these lines are of, and those purchases."""
    purchases = None
    if wanted is not None:
        some = PurchaseLine.objects.filter(pk__in=wanted - {None})
        purchases = set(some.values_list("purchase", flat=True))
    lines = _among(PurchaseLine.objects, purchase__in=purchases)
    return as_now(lines.select_related("purchase").order_by("position")), purchases


def _line_costs(
    lines: list[PurchaseLine],
    prices: dict[int, LinePrice],
    extras: list[ExtraCostRow],
    brought: dict[int, dict[int, Decimal]],
) -> list[Decimal | None]:
    """Delivered cost of the stocked lines of one purchase, in the workshop's money.

    Only stocked lines carry extra costs: what is not stocked has no lot to carry them.
    """
    rate = lines[0].purchase.rate
    priced = [prices.get(line.pk) for line in lines]
    bases = [
        LineBasis(
            value=price.price if price else None,
            weight=line.shipping_weight,
            quantity=sum(brought[line.pk].values(), ZERO),
        )
        for line, price in zip(lines, priced, strict=True)
    ]
    splits = [
        split_extra(ExtraCost(extra.kind, money(extra.amount * rate), extra.by), bases)
        for extra in extras
    ]
    return [
        delivered(
            money(price.price * rate) if price else None,
            money(price.tax * rate) if price else ZERO,
            price.recoverable_tax if price else ZERO,
            [split[place] if split is not None else None for split in splits],
        )
        for place, price in enumerate(priced)
    ]


def _lots_of(
    amounts: dict[int, Decimal], cost: Decimal | None
) -> dict[int, int | None]:
    if cost is None:
        return dict.fromkeys(amounts)
    shares = split_line(int(cost * NANO), list(amounts.values()))
    return dict(zip(amounts, shares, strict=True))
