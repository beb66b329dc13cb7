"""What a typed figure changes downstream: in money, in grams, in the pot.

Before a figure is put right the deed is done and rolled back, so that what is shown is
what would be written; a price or a bill that comes says it once it is written. What of
it belongs to closed months stands in the first open one: that is said apart.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import transaction
from django.db.models import Max

from costing.domain.rollup import NANO
from costing.reads import book_behind
from costing.reads.figures import figures_of, view_of
from production.contents.reads.closure import forward_closure
from production.contents.reads.contents import contents_of
from production.models import Batch, Closing, Lot, Movement, PurchaseLine, Stage
from production.quantities.domain.numbers import plain
from production.record.reads.restated import OF, as_now
from production.record.reads.sums import in_money
from production.yields.reads import batch_balance

KIND = Movement.Kind
CENT = NANO // 100
KILO = 1000
MOST = 12


@dataclass
class Picture:
    """The figures that may change, at one moment."""

    cost: dict[str, Fraction | None] = field(default_factory=dict)
    known: dict[str, int] = field(default_factory=dict)
    sold: dict[str, int] = field(default_factory=dict)
    totals: dict[str, int] = field(default_factory=dict)
    closed: dict[str, int] = field(default_factory=dict)
    also: dict[str, str] = field(default_factory=dict)


class _LookedOnly(Exception):
    """Nothing is written: the deed was only looked at."""


def look(of: str, row: Any, act: Callable[[], object]) -> dict[str, Any]:
    """What the deed would change; raises as the deed does where it is refused."""
    before, after = picture(of, row), None
    try:
        with transaction.atomic():
            act()
            after = picture(of, row)
            raise _LookedOnly
    except _LookedOnly:
        pass
    assert after is not None
    return compared(before, after, lots_of(of, row))


def watched(
    of: str, row: Any, act: Callable[[], Any]
) -> tuple[Any, dict[str, Any] | None]:
    """Do the deed, and say what it has changed; None where nothing was done."""
    before = picture(of, row)
    result = act()
    if result is None:
        return None, None
    return result, compared(before, picture(of, row), lots_of(of, row))


def lots_of(of: str, row: Any) -> list[Lot]:
    """The lots that a figure reaches, and all that was made from them."""
    first = set(_reached(of, row))
    ahead = first.union(*(forward_closure(pk) for pk in first))
    return list(Lot.objects.filter(pk__in=ahead).select_related("item").order_by("pk"))


def _reached(of: str, row: Any) -> Iterable[int]:
    lots = Lot.objects.values_list("pk", flat=True)
    if of in (OF.PURCHASE, OF.LINE, OF.EXTRA_COST):
        purchase = {OF.PURCHASE: "pk"}.get(OF(of), "purchase_id")
        lines = PurchaseLine.objects.filter(purchase=getattr(row, purchase))
        return lots.filter(line__in=lines)
    if of == OF.LOT:
        line = row.line_id
        return lots.filter(line=line) if line else [row.pk]
    if of in (OF.BATCH, OF.WORK, OF.LOSS):
        batch = row if of == OF.BATCH else row.batch
        return lots.filter(batch=batch)
    if of == OF.READING:
        return [row.lot_id] if row.lot_id else lots.filter(batch=row.batch)
    return [row.lot_id] if of == OF.ENTRY else []


def picture(of: str, row: Any) -> Picture:
    found = Picture()
    lots = lots_of(of, row)
    if lots or of in (OF.BATCH, OF.WORK):
        _money(found, lots)
        _closed(found)
    if of in (OF.LOT, OF.READING):
        _superfats(found, lots)
    if of in (OF.LOT, OF.LOSS):
        _grams(found, of, row)
    if of in (OF.SALE_LINE,):
        _taken_in(found, row)
    return found


def _money(found: Picture, lots: list[Lot]) -> None:
    valuation = book_behind(*lots).valuation
    entries = Movement.objects.filter(lot__in=lots, kind__in=(KIND.SOLD, KIND.RETURNED))
    goods = set(entries.values_list("pk", flat=True))
    for lot in lots:
        value = valuation.lots[lot.code]
        found.cost[lot.code] = value.unit_cost
        found.sold[lot.code] = sum(
            sum(parts.values()) for pk, parts in value.taken.items() if pk in goods
        )
    totals = valuation.totals
    found.totals = {
        "goods sold": totals.cost_of_goods_sold,
        "stock": totals.stock,
        "losses, samples and gifts": totals.losses - totals.development,
        "trials not accepted": totals.development,
        "sent back to suppliers": totals.sent_back,
        "batches still open": totals.work_in_progress,
    }


def _closed(found: Picture) -> None:
    """What the last closed day would show now: its statement stays as it is."""
    closing = last_closing()
    if closing is not None:
        then = figures_of(view_of(closing, "lots"))
        found.closed = {
            "stood in stock or open batches on that day": then.held,
            "was sold by then": then.cost_of_goods_sold,
            "was lost by then": then.lost,
        }


def last_closing() -> date | None:
    """The last day that is closed."""
    return Closing.objects.aggregate(last=Max("through"))["last"]


def _superfats(found: Picture, lots: list[Lot]) -> None:
    cooked = Batch.objects.filter(lot__in=lots, stage=Stage.COOK).select_related("lot")
    for batch in cooked.order_by("pk"):
        held = contents_of(batch.lot).superfat
        says = "not known" if held is None else f"{plain(round(held * 100, 2))} %"
        found.also[f"Superfat of {batch.lot}"] = says


def _grams(found: Picture, of: str, row: Any) -> None:
    """What no record of a batch accounts for."""
    batches: Iterable[Batch]
    if of == OF.LOT:
        batches = Batch.objects.filter(movements__lot=row).distinct().order_by("pk")
    else:
        batches = [row.batch]
    for batch in batches:
        balance = batch_balance(batch)
        if balance is None:
            found.also[f"Not accounted for in {batch}"] = "not judged"
            continue
        missing = balance.difference + (balance.evaporation or 0)
        found.also[f"Not accounted for in {batch}"] = f"{plain(missing)} g"


def _taken_in(found: Picture, row: Any) -> None:
    [line] = as_now(type(row).objects.filter(pk=row.pk))
    price = line.unit_price
    says = "not known" if price is None else in_money(price * line.amount)
    found.also[f"Taken in with {line}:"] = says


def compared(before: Picture, after: Picture, lots: list[Lot]) -> dict[str, Any]:
    """Only what changes, in plain words and figures that a page can keep."""
    rows = [
        _row(lot, before, after)
        for lot in lots
        if before.cost.get(lot.code) != after.cost.get(lot.code)
        or before.sold.get(lot.code) != after.sold.get(lot.code)
    ]
    totals = _differ(before.totals, after.totals)
    closed = _differ(before.closed, after.closed)
    last = last_closing() if closed else None
    also = [
        (name, was, after.also.get(name, "nothing"))
        for name, was in before.also.items()
        if after.also.get(name) != was
    ]
    rows.sort(key=lambda row: row["sold"] == "none")
    return {
        "lots": rows[:MOST],
        "more": len(rows[MOST:]),
        "totals": totals,
        "closed": closed,
        "closed_through": last.isoformat() if last else "",
        "also": also,
    }


def _differ(before: dict[str, int], after: dict[str, int]) -> list[tuple[str, ...]]:
    """Each figure that changes: its name, by how much, more or less.

    Cents that rounding leaves over go to the largest remainders, so that what is
    printed adds up to the whole change: to a bill, where one came.
    """
    changes = {name: after.get(name, 0) - was for name, was in before.items()}
    changes = {name: nano for name, nano in changes.items() if nano}
    cents = {name: nano // CENT for name, nano in changes.items()}
    left = (sum(changes.values()) + CENT // 2) // CENT - sum(cents.values())
    for name in sorted(changes, key=lambda name: -(changes[name] % CENT))[:left]:
        cents[name] += 1
    return [
        (name, *_signed(cents[name] * CENT or nano).rsplit(" ", 1))
        for name, nano in changes.items()
    ]


def _row(lot: Lot, before: Picture, after: Picture) -> dict[str, str]:
    weighed = lot.item.unit == "g"
    moved = Movement.objects.standing().filter(
        lot=lot, kind__in=(KIND.SOLD, KIND.RETURNED)
    )
    sold = -sum(moved.values_list("amount", flat=True), Decimal(0))
    return {
        "code": lot.code,
        "item": lot.item.name,
        "of": "1 kg" if weighed else "one",
        "before": _unit(before.cost.get(lot.code), weighed),
        "after": _unit(after.cost.get(lot.code), weighed),
        "sold": f"{plain(sold)} {'g' if weighed else 'pcs'}" if sold else "none",
        "money": _signed(after.sold[lot.code] - before.sold[lot.code]) if sold else "",
    }


def _unit(cost: Fraction | None, weighed: bool) -> str:
    if cost is None:
        return "not known"
    exact = cost * (KILO if weighed else 1)
    return _places(Decimal(exact.numerator) / Decimal(exact.denominator), 4)


def _signed(nano: int) -> str:
    money = Decimal(nano) / NANO
    if 0 < abs(money) < Decimal("0.01"):
        return "under 0.01 " + ("more" if money > 0 else "less")
    return f"{_places(abs(money), 2)} {'more' if money >= 0 else 'less'}"


def _places(value: Decimal, places: int) -> str:
    """To that many places, without the needless ones beyond the cents."""
    text = f"{value:.{places}f}"
    while len(text.partition(".")[2]) > 2 and text.endswith("0"):
        text = text[:-1]
    return text
