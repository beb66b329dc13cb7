"""What one gram or piece of lots cost: by component, and by what went into it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import OuterRef, QuerySet, Subquery

from costing.domain.rollup import NANO, LotValue, Parts, Valuation, roll_up
from costing.domain.variances import LABOUR, Put
from costing.models import KeptLot
from costing.reads.book import Book, book_behind, whole_book
from production.models import Item, Lot, Movement, still_a_trial
from production.record.reads.restated import as_now
from production.yields.reads import standing_work

ZERO = Fraction(0)
# Beyond so many lots one walk over the whole book is shorter than a walk for each.
FEW = 20
# The kinds of work that a person's hours are written as, paid or not.
WORKED = (LABOUR, "unpaid")


def made_lots() -> QuerySet[Movement]:
    """The makings that stand, in the order of making; of no trial still on trial."""
    rows = Movement.objects.standing().filter(kind=Movement.Kind.MADE)
    return rows.exclude(still_a_trial()).order_by("on", "id")


def products(until: date | None = None) -> list[Item]:
    """What is made here and sold in pieces, each with ``last``: its last lot's key.

    ``until`` leaves out what was made after that day.
    """
    last = made_lots().filter(lot__item=OuterRef("pk")).order_by("-on", "-id")
    if until is not None:
        last = last.filter(on__lte=until)
    rows = Item.objects.filter(kind=Item.Kind.MADE, unit=Item.Unit.PIECE)
    return list(rows.annotate(last=Subquery(last.values("lot")[:1])).order_by("name"))


@dataclass(frozen=True, slots=True)
class LotCost:
    """A lot's unit cost by component, exact, in currency for one gram or piece.

    ``parts`` None: not known yet, since the prices of ``missing`` are not. ``lot``
    None: of what is only planned.
    """

    lot: Lot | None
    parts: Mapping[str, Fraction] | None
    missing: frozenset[str] = frozenset()

    @property
    def cost(self) -> Fraction | None:
        if self.parts is None:
            return None
        return sum(self.parts.values(), ZERO)


@dataclass(frozen=True, slots=True)
class Opened:
    """The same, opened: every material and every kind of work in one gram or piece.

    ``puts`` by "item 12" for a material, else by the kind of work; ``items`` are those
    materials by that key.
    """

    of: LotCost
    puts: Mapping[str, Put]
    items: Mapping[str, Item]

    @property
    def hours(self) -> Fraction | None:
        """Hours of people's work in one; None where none was written."""
        hours = [self.puts[kind].amount for kind in WORKED if kind in self.puts]
        return sum(hours, ZERO) if hours else None

    def cost_of(self, item: Item) -> Fraction:
        """What of its unit cost is this material's."""
        put = self.puts.get(key_of(item.pk))
        return put.cost if put else ZERO


def key_of(item: int) -> str:
    return f"item {item}"


def costs_of(lots: Iterable[Lot], book: Book | None = None) -> dict[int, LotCost]:
    """By the key of the lot, as kept or as a book works it out; two queries."""
    lots = list(lots)
    if book is not None:
        return {lot.pk: _worked_out(lot, book.valuation.lots[lot.code]) for lot in lots}
    kept = KeptLot.objects.in_bulk([lot.pk for lot in lots])
    keys = {key for row in kept.values() for key in row.missing}
    codes = dict(Lot.objects.filter(pk__in=keys).values_list("pk", "code"))
    return {lot.pk: _as_kept(lot, kept[lot.pk], codes) for lot in lots}


def _worked_out(lot: Lot, value: LotValue) -> LotCost:
    if value.unit_cost is None:
        return LotCost(lot, None, value.missing)
    return LotCost(lot, _parts(value.rate_parts, value.rate_amount))


def _as_kept(lot: Lot, row: KeptLot, codes: Mapping[int, str]) -> LotCost:
    if row.unit_cost is None:
        return LotCost(lot, None, frozenset(codes[key] for key in row.missing))
    return LotCost(lot, _parts(row.rate, row.rate_amount))


def _parts(rate: Parts, amount: Decimal) -> dict[str, Fraction]:
    unit = NANO * Fraction(amount)
    return {name: nano / unit for name, nano in sorted(rate.items())}


def open_lots(lots: Sequence[Lot]) -> dict[int, Opened]:
    """By the key of the lot, down to invoices and hours."""
    if not lots:
        return {}
    book = book_behind(*lots) if len(lots) <= FEW else whole_book()
    costs = costs_of(lots, book)
    found = {lot.pk: book.sources(lot.code) for lot in lots}
    codes = {row.code for rows in found.values() for row in rows if row.kind == "lot"}
    bought = Lot.objects.filter(code__in=codes).select_related("item")
    came = {lot.code: lot.item for lot in bought}
    items = {key_of(item.pk): item for item in came.values()}
    worked = _worked(book)
    opened = {}
    for lot in lots:
        hours = worked.lots[lot.code]
        unit = NANO * Fraction(hours.rate_amount or 1)
        amounts = {kind: nano / unit for kind, nano in hours.rate_parts.items()}
        puts = {kind: Put(kind, amount, ZERO) for kind, amount in amounts.items()}
        for row in found[lot.pk]:
            key, amount = row.component, ZERO
            if row.kind == "lot":
                key = key_of(came[row.code].pk)
                each = book.valuation.lots[row.code].known_unit_cost
                amount = row.exact / each if each else ZERO
            before = puts.get(key, Put(row.component, ZERO, ZERO))
            puts[key] = Put(
                before.component, before.amount + amount, before.cost + row.exact
            )
        opened[lot.pk] = Opened(costs[lot.pk], puts, items)
    return opened


def _worked(book: Book) -> Valuation:
    """The same book with hours in place of money, by kind: they go where cost goes.

    So hours at no rate are known too.
    """
    found: dict[str, dict[str, int]] = {}
    codes = [node.code for node in book.batches]
    rows = standing_work().filter(batch__code__in=codes).select_related("batch")
    for row in as_now(rows):
        parts = found.setdefault(row.batch.code, {})
        parts[row.kind] = parts.get(row.kind, 0) + int(row.hours * NANO)
    return roll_up(
        [replace(node, bought={}, known=True) for node in book.lots],
        [replace(node, work=found.get(node.code, {})) for node in book.batches],
    )


def lots_of(item: Item, most: int) -> list[Lot]:
    """Its lots in the order in which they were made, the last ``most`` of them."""
    keys = list(made_lots().filter(lot__item=item).values_list("lot", flat=True))[
        -most:
    ]
    rows = Lot.objects.select_related("item", "batch").in_bulk(keys)
    return [rows[pk] for pk in dict.fromkeys(keys)]
