"""What each bill comes to, line by line, and what is asked before it is known.

The one owner of how an extra cost falls on the lines of its invoice: the purchase's
page, the cost of a lot, planned costs and every command ask here.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, QuerySet

from production.buying.domain.bills import (
    ExtraCost,
    LineBasis,
    Weight,
    delivered,
    lacking,
    split_extra,
    weight_of,
)
from production.buying.models import ExtraCost as ExtraCostRow
from production.buying.models import LinePrice, Purchase, PurchaseLine
from production.buying.reads.papers import arrivals
from production.quantities.domain.numbers import ZERO, money, plain
from production.record.reads.restated import as_now
from production.stock.models.lots import Lot
from production.workshop.models.items import Item


@dataclass(frozen=True, slots=True)
class BilledLine:
    """A line whose goods stand in the book; ``came`` is how much, lot by lot."""

    line: PurchaseLine
    came: dict[int, Decimal]
    price: LinePrice | None
    weight: Weight

    @property
    def basis(self) -> LineBasis:
        return LineBasis(
            value=self.price.price if self.price else None,
            weight=self.weight.grams,
            quantity=sum(self.came.values(), ZERO),
        )


@dataclass(frozen=True, slots=True)
class SharedCost:
    """An extra cost in the workshop's money; ``shares`` None: ``asks`` says why."""

    row: ExtraCostRow
    amount: Decimal
    shares: tuple[Decimal, ...] | None
    asks: str


@dataclass(frozen=True, slots=True)
class Bill:
    """One purchase: the lines that carry its extra costs, and what they come to.

    What is not stocked carries none: it has no lot to carry them.
    """

    purchase: Purchase
    lines: tuple[BilledLine, ...]
    extras: tuple[SharedCost, ...]

    def costs(self) -> list[Decimal | None]:
        """Delivered cost of each line in the workshop's money; None is unknown."""
        rate = self.purchase.rate
        return [
            delivered(
                money(one.price.price * rate) if one.price else None,
                money(one.price.tax * rate) if one.price else ZERO,
                [
                    extra.shares[place] if extra.shares else None
                    for extra in self.extras
                ],
            )
            for place, one in enumerate(self.lines)
        ]


def bills(purchases: Iterable[int] | None = None) -> dict[int, Bill]:
    """The bills of these purchases, or of all, by key: in five queries."""
    keys = None if purchases is None else set(purchases)
    rows = _of(PurchaseLine.objects.select_related("purchase", "item"), "", keys)
    lines = as_now(rows.order_by("purchase", "position"))
    came = arrivals(None if keys is None else [line.pk for line in lines])
    stocked: dict[int, list[PurchaseLine]] = defaultdict(list)
    for line in lines:
        if line.pk in came:
            stocked[line.purchase_id].append(line)
    prices = {
        row.line_id: row
        for row in _of(LinePrice.objects.all(), "line__", keys).order_by("pk")
    }
    extras: dict[int, list[ExtraCostRow]] = defaultdict(list)
    for extra in as_now(_of(ExtraCostRow.objects.all(), "", keys).order_by("pk")):
        extras[extra.purchase_id].append(extra)
    weighed = _of(Lot.objects.filter(net_mass__isnull=False), "line__", keys)
    pieces = dict(weighed.filter(line__isnull=False).values_list("pk", "net_mass"))
    return {
        purchase: _bill(
            [_billed(line, came[line.pk], prices, pieces) for line in own],
            extras[purchase],
        )
        for purchase, own in stocked.items()
    }


def _of(rows: QuerySet, way: str, keys: set[int] | None) -> QuerySet:
    return rows if keys is None else rows.filter(**{f"{way}purchase__in": keys})


def _billed(
    line: PurchaseLine,
    came: dict[int, Decimal],
    prices: dict[int, LinePrice],
    pieces: dict[int, Decimal],
) -> BilledLine:
    weight = weight_of(
        line.shipping_weight,
        line.item.unit if line.item else Item.Unit.GRAM,
        [(amount, pieces.get(lot)) for lot, amount in came.items()],
    )
    return BilledLine(line, came, prices.get(line.pk), weight)


def _bill(lines: list[BilledLine], extras: list[ExtraCostRow]) -> Bill:
    purchase, billed = lines[0].line.purchase, tuple(lines)
    shared = tuple(_shared(row, purchase, billed) for row in extras)
    return Bill(purchase, billed, shared)


def _shared(
    row: ExtraCostRow, purchase: Purchase, lines: tuple[BilledLine, ...]
) -> SharedCost:
    rate = purchase.rate if row.rate is None else row.rate
    extra = ExtraCost(row.kind, money(row.amount * rate), row.by)
    bases = [line.basis for line in lines]
    shares = split_extra(extra, bases)
    waits = lacking(extra, bases)
    asks = "" if waits is None else _asks(row, lines, waits)
    return SharedCost(
        row, extra.amount, None if shares is None else tuple(shares), asks
    )


def _asks(
    row: ExtraCostRow, lines: tuple[BilledLine, ...], waits: tuple[int, ...]
) -> str:
    """Which line lacks what, and how it is given."""
    which = ", ".join(named(lines[place].line) for place in waits)
    cost = f"{row.kind} of {plain(abs(row.amount))} is shared by {row.by}"
    mends = {
        "weight": "Write its weight as shipped, or share the cost by value.",
        "value": "Write the price, or share the cost by weight.",
    }
    if any(getattr(lines[place].basis, row.by) is None for place in waits):
        lacks = {"weight": "no weight is known of", "value": "there is no price of"}
        return f"{cost}, and {lacks[row.by]} {which}. {mends[row.by]}"
    return f"{cost}, and its lines come to nothing in that. Share it in another way."


def named(line: PurchaseLine) -> str:
    """A line as a maker finds it on the paper."""
    return f"line {line.position} ({line.item or line.text})"


@dataclass(frozen=True, slots=True)
class Unknown:
    """Why the cost of a lot is not known, and what has the page to mend it on.

    ``of_price``: the lot's own price is missing; else a share of an extra cost is.
    """

    lot: Lot
    says: str
    where: Purchase | Lot
    of_price: bool = False


def why_unknown(codes: Iterable[str]) -> list[Unknown]:
    """What is missing behind these lots; what one purchase lacks is asked once."""
    once: dict[str, Unknown] = {}
    for asked in unknown_by_lot(codes).values():
        for one in asked:
            once.setdefault(one.says, one)
    return list(once.values())


def unknown_by_lot(codes: Iterable[str]) -> dict[str, list[Unknown]]:
    """The same lot by lot, by their codes."""
    lots = list(
        Lot.objects.filter(code__in=list(codes))
        .select_related("item", "line__purchase")
        .order_by("pk")
    )
    asked = bills({lot.line.purchase_id for lot in lots if lot.line}) if lots else {}
    return {lot.code: _unknown(lot, asked) for lot in lots}


def in_sentences(missing: Iterable[Unknown]) -> list[str]:
    """The same for a command: the lots without a price together, then each share."""
    missing = list(missing)
    unpriced = ", ".join(str(one.lot) for one in missing if one.of_price)
    said = [f"these lots have no price yet: {unpriced}."] if unpriced else []
    return [*said, *(one.says for one in missing if not one.of_price)]


def _unknown(lot: Lot, asked: dict[int, Bill]) -> list[Unknown]:
    bill = asked.get(lot.line.purchase_id) if lot.line else None
    extras = [extra.asks for extra in bill.extras if extra.asks] if bill else []
    found = [
        Unknown(lot, f"in {bill.purchase} the {says}", bill.purchase)
        for says in extras
        if bill is not None
    ]
    lines = bill.lines if bill else ()
    if not found or any(one.line == lot.line and not one.price for one in lines):
        where = lot.line.purchase if lot.line else lot
        says = f"lot {lot} of {lot.item} has no price yet."
        found.insert(0, Unknown(lot, says, where, of_price=True))
    return found


def waiting_bills() -> list[Bill]:
    """Bills with an extra cost that no line can carry yet, oldest purchase first."""
    pieces = Q(lines__item__unit=Item.Unit.PIECE, lines__shipping_weight__isnull=True)
    some = Purchase.objects.filter(
        pieces,
        lines__lots__net_mass__isnull=True,
        extra_costs__by=ExtraCostRow.By.WEIGHT,
    )
    found = bills(some.values_list("pk", flat=True))
    return [
        bill
        for bill in sorted(found.values(), key=lambda one: one.purchase.arrived)
        if any("no weight" in extra.asks for extra in bill.extras)
    ]
