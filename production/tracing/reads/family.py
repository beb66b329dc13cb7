"""Around a trace: who has it, what is left of it, and the family as it is drawn."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from production.contents.reads.contents import grams_of
from production.contents.reads.open_batches import InOpen, batches_of, in_open_batches
from production.selling.models import Customer
from production.stock.models.batches import Batch
from production.stock.models.counts import Stock
from production.stock.models.lots import Lot, Movement
from production.tracing.domain.family import Flow, Member
from production.tracing.reads.trace import Delivery, Trace
from production.workshop.models.items import Item


def kin(found: Trace) -> dict[str, Lot]:
    """Every lot of a family by its code, with ``on_hand``, ``status`` and origin."""
    lots = (
        Lot.objects.filter(code__in=[found.lot, *found.back, *found.forward])
        .with_on_hand()
        .with_status()
        .select_related("item", "batch", "line__purchase__supplier")
    )
    return {lot.code: lot for lot in lots}


def came_in(lots: Iterable[Lot]) -> dict[str, Decimal]:
    """All there ever was of each lot: received, opened or made."""
    rows = (
        Movement.objects.standing()
        .filter(lot__in=[lot.pk for lot in lots], kind__in=Movement.STARTS)
        .order_by()
        .values_list("lot__code")
        .annotate(total=Sum("amount"))
    )
    return dict(rows)


@dataclass(frozen=True, slots=True)
class Held:
    """What somebody was given of one lot: on which days, and what came back."""

    lot: str
    channels: list[str]
    days: list[tuple[date, Decimal]]
    left: Decimal
    back: Decimal

    @property
    def kept(self) -> Decimal:
        return self.left - self.back


@dataclass(frozen=True, slots=True)
class Holder:
    """Who has some of it; only a channel where the buyers are not known by name."""

    name: str
    customer: Customer | None
    lots: list[Held]

    @property
    def kept(self) -> Decimal:
        return sum((row.kept for row in self.lots), Decimal(0))


def holders(deliveries: Iterable[Delivery]) -> list[Holder]:
    """The deliveries gathered by who has them, named customers first."""
    rows: dict[str, dict[str, list[Delivery]]] = defaultdict(lambda: defaultdict(list))
    for item in deliveries:
        rows[item.who or item.channel][item.lot].append(item)
    returned = _came_back({lot for lots in rows.values() for lot in lots})
    known = {row.name: row for row in Customer.objects.filter(name__in=rows)}
    found = [
        Holder(
            name=name,
            customer=known.get(name),
            lots=[
                _held(lot, some, returned.get((name, lot), Decimal(0)))
                for lot, some in sorted(lots.items())
            ],
        )
        for name, lots in rows.items()
    ]
    return sorted(found, key=lambda row: (row.customer is None, row.name))


def _held(lot: str, deliveries: list[Delivery], back: Decimal) -> Held:
    days: dict[date, Decimal] = defaultdict(Decimal)
    for item in deliveries:
        days[item.on] += item.amount
    return Held(
        lot=lot,
        channels=sorted({item.channel for item in deliveries if item.who} - {""}),
        days=sorted(days.items()),
        left=sum(days.values(), Decimal(0)),
        back=back,
    )


def _came_back(codes: Iterable[str]) -> dict[tuple[str, str], Decimal]:
    """What each customer or channel brought back of each lot."""
    back: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    rows = Movement.objects.standing().filter(
        lot__code__in=codes, kind=Movement.Kind.RETURNED
    )
    for who, channel, lot, amount in rows.values_list(
        "sale_line__sale__customer__name",
        "sale_line__sale__channel",
        "lot__code",
        "amount",
    ):
        back[who or channel, lot] += amount
    return back


def stands(lots: Iterable[Lot]) -> list[tuple[str, str, Decimal]]:
    """What is still on hand of some lots: place, lot, amount."""
    rows = Stock.objects.filter(lot__in=[lot.pk for lot in lots], amount__gt=0)
    return sorted(rows.values_list("place__name", "lot__code", "amount"))


IN_OPEN = "in open batches"


@dataclass(frozen=True, slots=True)
class LotBalance:
    """The law of mass for one lot, in its own unit: what came in is where it went.

    ``parts`` are kinds of entries; one that adds to the lot counts below zero. What was
    used is told apart from what stands in ``open_batches``.
    """

    came: Decimal
    parts: dict[str, Decimal]
    on_hand: Decimal
    open_batches: list[InOpen]

    @property
    def difference(self) -> Decimal:
        return self.came - sum(self.parts.values(), Decimal(0)) - self.on_hand


def lot_balance(lot: Lot) -> LotBalance:
    """Standing entries by kind, against what is kept of it."""
    standing = lot.movements.standing().order_by()
    kinds = dict(standing.values_list("kind").annotate(total=Sum("amount")))
    came = sum((kinds.pop(kind, Decimal(0)) for kind in Movement.STARTS), Decimal(0))
    kept = lot.stock.aggregate(total=Sum("amount"))["total"]
    still = in_open_batches([lot.pk])
    standing_open = sum((row.amount for row in still), Decimal(0))
    used = Movement.Kind.USED
    kinds[used] = kinds.get(used, Decimal(0)) + standing_open
    parts: dict[str, Decimal] = {}
    for kind in Movement.Kind.values:
        if kinds.get(kind):
            parts[kind] = -kinds[kind]
        if kind == used and standing_open:
            parts[IN_OPEN] = standing_open
    return LotBalance(came, parts, kept or Decimal(0), still)


def drawn(
    found: Trace,
    lots: Mapping[str, Lot],
    came: Mapping[str, Decimal],
    having: Iterable[Holder],
) -> tuple[list[Member], list[Flow]]:
    """The family for a drawing, customers at its end; pieces count by their contents.

    The key of a customer begins with a line break: no code of a lot holds one; that of
    an open batch, which is nobody, with two.
    """
    ends = sorted(having, key=lambda row: (-row.kept, row.name))
    members = [
        Member(
            code,
            grams_of(lots[code], came.get(code)),
            kind=lots[code].item.name,
            sundry=_is_sundry(lots[code].item),
        )
        for code in sorted(lots)
    ]
    flows = [
        Flow(edge.source, edge.target, grams_of(lots[edge.source], edge.amount))
        for edge in found.edges
    ]
    flows += [
        Flow(held.lot, f"\n{row.name}", grams_of(lots[held.lot], held.kept))
        for row in ends
        for held in row.lots
    ]
    pots = [
        Member(pot_key(batch), kind=f"open {batch.stage}", pot=True)
        for batch in batches_of(found.open)
    ]
    flows += [
        Flow(row.lot.code, pot_key(row.batch), grams_of(lots[row.lot.code], row.amount))
        for row in found.open
    ]
    people = [Member(f"\n{row.name}", end=True) for row in ends]
    return members + pots + people, flows


def pot_key(batch: Batch) -> str:
    """An open batch among the members of a family."""
    return f"\n\n{batch.code}"


def _is_sundry(item: Item) -> bool:
    """Packaging and water are in everything, and say the least about a soap."""
    packaging = item.kind == Item.Kind.PACKAGING
    return packaging or item.category == Item.Category.WATER
