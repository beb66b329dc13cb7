"""Lots, batches and bills as values, rolled up whole or as far as a lot needs."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import CharField, F, Min, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

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
from production.yields.domain.yields import Outturn
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
    return _book(Lot.objects.all(), Batch.objects.all(), standing_work(), until=day)


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


@dataclass(slots=True)
class _Entries:
    """The standing entries of one lot: what it started with and where it went."""

    started: Decimal
    flows: list[Flow]
    value: Decimal | None = None
    opening: bool = False
    began: date | None = None
    whole: date | None = None


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
    nodes = lot_nodes(lots, behind, until)
    made = {lot.batch_id: lot.code for lot in lots if lot.batch_id}
    nodes_of_batches = list(batch_nodes(batches, work, made, until).values())
    return Book(nodes, nodes_of_batches, roll_up(nodes, nodes_of_batches))


def lot_nodes(
    lots: Sequence[Lot], pks: set[int] | None, until: date | None = None
) -> list[LotNode]:
    """Lots as the book of that day has them; ``pks`` are their keys, None all.

    They come with their items and batches.
    """
    tap = any(lot.line_id is None and lot.batch_id is None for lot in lots)
    entries = _entries(pks, until, _worth(pks) if tap else {})
    lines = {lot.line_id for lot in lots}
    bought = _bought(None if pks is None else lines) if lines - {None} else {}
    lost = outturns(lot.batch for lot in lots if lot.batch)
    return [_node(lot, entries[lot.pk], bought, lost) for lot in lots]


def batch_nodes(
    batches: QuerySet[Batch],
    work: QuerySet[Work],
    made: Mapping[int, str],
    until: date | None = None,
) -> dict[int, BatchNode]:
    """Batches as the book of that day has them; ``made`` are the lots they made."""
    hours = _work(work, until)
    accepted = _first_day(Promotion.objects.all(), "deed__on")
    lost = _first_day(LostBatch.objects.all(), "on")
    named = LostBatch.objects.filter(batch=OuterRef("pk")).order_by("-pk")
    lost_as = Coalesce(Subquery(named.values("kind")[:1]), Value(""))
    rows = batches.annotate(accepted=accepted, lost=lost, lost_as=lost_as)
    return {
        pk: _batch_node(
            code,
            hours.get(pk, []),
            made.get(pk),
            trial,
            _by(was, until),
            _by(ended, until),
            name,
        )
        for pk, code, trial, was, ended, name in rows.values_list(
            "pk", "code", "trial", "accepted", "lost", "lost_as"
        )
    }


def _batch_node(
    code: str,
    hours: list[tuple[date, dict[str, int]]],
    lot: str | None,
    tried: bool,
    accepted: date | None,
    lost_on: date | None,
    lost_as: str,
) -> BatchNode:
    work: dict[str, int] = {}
    for _, parts in hours:
        for name, nano in parts.items():
            work[name] = work.get(name, 0) + nano
    return BatchNode(
        code=code,
        work=work,
        lot=lot,
        trial=tried and accepted is None,
        lost=lost_on is not None,
        worked=tuple(hours),
        tried=tried,
        accepted=accepted,
        lost_on=lost_on,
        lost_as=lost_as if lost_on else "",
    )


def _first_day(rows: QuerySet, on: str) -> Subquery:
    """The first day on which such a row stands of a batch; NULL where none does."""
    own = rows.filter(batch=OuterRef("pk")).order_by().values("batch")
    return Subquery(own.annotate(first=Min(on)).values("first"))


def _by(day: date | None, until: date | None) -> date | None:
    """A day, where it was by then."""
    return None if day is None or (until is not None and day > until) else day


def _among(rows: QuerySet, **keys: set[int] | None) -> QuerySet:
    """The rows with one of these keys; None is all rows."""
    [(name, wanted)] = keys.items()
    return rows if wanted is None else rows.filter(**{name: wanted})


def _entries(
    pks: set[int] | None, until: date | None, worth: dict[int, Decimal | None]
) -> dict[int, _Entries]:
    found: dict[int, _Entries] = defaultdict(lambda: _Entries(ZERO, []))
    rows = _among(Movement.objects.standing(), lot__in=pks).in_book_order()
    if until is not None:
        rows = rows.filter(on__lte=until)
    # It hangs on the first entry of its line.
    nothing = Value("", CharField())
    why = Coalesce(F("root__given__why"), F("given__why"), nothing)
    for pk, lot, kind, on, amount, batch, sale, because in rows.values_list(
        "id", "lot_id", "kind", "on", "amount", "batch__code", "sale_line_id", why
    ):
        entry = found[lot]
        if kind in Movement.STARTS:
            entry.started += amount
            entry.value = worth.get(pk)
            entry.opening = kind == KIND.OPENING
            entry.began, entry.whole = entry.began or on, on
        else:
            entry.flows.append(Flow(pk, kind, amount, batch, sale, on, because))
    return found


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
    lost: dict[int, Outturn],
) -> LotNode:
    """A lot whose arrival or making was taken back is worth nothing, and known."""
    nano: int | None = 0
    if lot.batch_id is None and entry.started:
        if lot.line_id is not None:
            nano = bought[lot.pk]
        else:
            nano = None if entry.value is None else int(entry.value * NANO)
    found = lost.get(lot.batch_id or 0)
    return LotNode(
        code=lot.code,
        started=entry.started,
        bought={lot.component or lot.item.component: nano} if nano else {},
        known=nano is not None,
        batch=lot.batch.code if lot.batch_id else None,
        expected=entry.started + (found.abnormal if found else ZERO),
        flows=tuple(entry.flows),
        opening=entry.opening,
        began=entry.began,
        whole=entry.whole,
        spoilt=found.abnormal_by_name if found else {},
    )


def _work(
    rows: QuerySet[Work], until: date | None
) -> dict[int, list[tuple[date, dict[str, int]]]]:
    """Hours of each batch at their rate, in nano, day by day as they stand now."""
    found: dict[int, list[tuple[date, dict[str, int]]]] = defaultdict(list)
    for row in as_now(rows):
        if row.kind == Work.Kind.UNPAID or (until is not None and row.on > until):
            continue
        found[row.batch_id].append((row.on, {row.kind: round(row.cost * NANO)}))
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
