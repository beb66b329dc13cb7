"""What the year adds up to, told on the terminal."""

from collections.abc import Iterator
from decimal import Decimal

from costing.domain.rollup import Valuation
from costing.reads import whole_book
from labels.reads.listing import declare_lot
from labels.reads.rules import rule_set
from labels.reads.tables import name_book
from production.contents.reads.closure import forward_closure
from production.models import Item, Lot, Workshop
from production.quantities.domain.numbers import MONEY_STEP, money, plain, share_out
from production.tracing.reads.trace import deliveries_of, trace

OIL, BOTTLE = "BAB-1", "TIDE-8OZ-1"


def tell() -> str:
    """Bottles and their layers, a trace to customers, an ingredient list."""
    parts = (_costs(), _family(), _ingredients())
    return "\n".join(line for part in parts for line in (*part, ""))


def _costs() -> Iterator[str]:
    """The first filling of each kind, by component; the layers add up."""
    book = whole_book().valuation
    currency = Workshop.objects.get().currency
    yield "What a bottle costs"
    for kind in Item.objects.filter(kind="made", unit="piece").order_by("name"):
        bottles = Lot.objects.filter(item=kind).order_by("pk")[0]
        yield from _layers(book, bottles, currency)


def _layers(book: Valuation, bottles: Lot, currency: str) -> Iterator[str]:
    value = book.lots[bottles.code]
    if value.unit_cost is None:
        yield f"{bottles.item} ({bottles}): a price is missing"
        return
    cost = money(value.unit_cost)
    yield f"{bottles.item} ({bottles}): {cost} {currency} per bottle"
    names = sorted(value.rate_parts)
    shares = share_out(cost, [value.rate_parts[name] for name in names], MONEY_STEP)
    for name, share in zip(names, shares, strict=True):
        yield f"  {name:<12}{share:>10}"


def _family() -> Iterator[str]:
    """Forward from one lot of oil: what it went into, and who has bottles of it."""
    lot = Lot.objects.select_related("item").get(code=OIL)
    found = trace(lot)
    yield f"Where {lot.item.name.lower()} {lot} went ({len(found.forward)} lots)"
    yield f"  into      {', '.join(found.forward)}"
    yield f"  customers {', '.join(found.customers)}"
    pieces = Lot.objects.filter(item__unit="piece", pk__in=forward_closure(lot.pk))
    held: dict[tuple[str, str], dict[str, Decimal]] = {}
    for item in deliveries_of(pieces.values_list("pk", flat=True)):
        lots = held.setdefault((item.who or "", item.channel), {})
        lots[item.lot] = lots.get(item.lot, Decimal(0)) + item.amount
    for (who, channel), lots in sorted(held.items()):
        what = ", ".join(f"{plain(amount)} of {code}" for code, amount in lots.items())
        yield f"  {', '.join(part for part in (who, channel) if part)}: {what}"


def _ingredients() -> Iterator[str]:
    bottle = Lot.objects.select_related("item").get(code=BOTTLE)
    yield f"What the label of {bottle.item} ({bottle}) lists"
    for code, basis in (("us", "finished"), ("eu", "added")):
        made = declare_lot(bottle, rule_set(code), basis, name_book())
        yield f"  {code}, as {basis}: {', '.join(made.ingredients)}"
    yield (
        f"  why, and what to look up: python manage.py demo declare {bottle} --rules us"
    )
