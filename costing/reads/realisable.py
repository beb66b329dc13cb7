"""What stock would bring: the figures for lower of cost and net realisable value."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.domain.books import Held
from costing.domain.realisable import OnShelf, Proposal, propose
from costing.reads.figures import terms
from costing.reads.kept import unit_costs
from production.models import Item, LinePrice, Lot, Movement, SaleLine
from production.record.reads.restated import as_now
from production.selling.reads.revenue import line_taxed

KIND = Movement.Kind


def proposals(stock: Iterable[Held], day: date) -> list[Proposal]:
    """Item by item, of what was held on that day; what is on tap is left out."""
    held: dict[str, list[Held]] = defaultdict(list)
    for row in stock:
        held[row.item].append(row)
    items = {
        item.name: item for item in Item.objects.filter(name__in=held, on_tap=False)
    }
    share, sold = terms().selling_share, _last_sales(day)
    sells = _sells(sold, share)
    bought, products = _last_prices(day), _made_of()
    shelf = []
    for name, rows in sorted(held.items()):
        item = items.get(name)
        if item is None:
            continue
        serves = item.pk not in sold
        shelf.append(
            OnShelf(
                item=name,
                amount=sum((row.amount for row in rows), Decimal(0)),
                value=_value(rows),
                price=bought.get(item.pk) if serves else sold[item.pk],
                costs=Decimal(0) if serves else share,
                serves=serves,
                sells=_all(sells.get(one) for one in products.get(item.pk, ())),
            )
        )
    return propose(shelf)


def _value(rows: Iterable[Held]) -> int | None:
    values = [row.value for row in rows]
    return None if None in values else sum(value or 0 for value in values)


def _all(verdicts: Iterable[bool | None]) -> bool | None:
    """Whether each that is known is good; None where none is known."""
    known = [one for one in verdicts if one is not None]
    return all(known) if known else None


def _last_sales(day: date) -> dict[int, Fraction]:
    """What each item brought last, net of sales tax, of what was sold by then."""
    sold = Movement.objects.standing().filter(kind=KIND.SOLD, on__lte=day)
    last = dict(sold.in_book_order().values_list("sale_line", "lot__item"))
    lines = SaleLine.objects.select_related("sale")
    brought = {row.pk: (row.amount, line_taxed(row)) for row in as_now(lines)}
    return {
        item: Fraction(taxed.net) / Fraction(amount)
        for line, item in last.items()
        for amount, taxed in [brought[line]]
        if taxed is not None
    }


def _last_prices(day: date) -> dict[int, Fraction]:
    """What one gram or piece of each item cost when it was bought last, at its rate."""
    came = Movement.objects.standing().filter(kind=KIND.RECEIVED, on__lte=day)
    amounts: dict[int, Decimal] = defaultdict(Decimal)
    of: dict[int, int] = {}
    for line, item, amount in came.in_book_order().values_list(
        "lot__line", "lot__item", "amount"
    ):
        if line is not None:
            amounts[line] += amount
            of[line] = item
    rows = LinePrice.objects.filter(line__in=of).select_related("line__purchase")
    paid = {row.line_id: row for row in rows.order_by("pk")}
    return {
        item: Fraction(paid[line].price * paid[line].line.purchase.rate)
        / Fraction(amounts[line])
        for line, item in of.items()
        if line in paid
    }


def _sells(sold: Mapping[int, Fraction], share: Decimal) -> dict[int, bool]:
    """Whether each item brings the cost of its last lot or more, where it is known."""
    lots: dict[int, Lot] = {}
    made = Lot.objects.filter(item__in=sold, batch__isnull=False)
    for lot in made.select_related("item", "batch").order_by("pk"):
        lots[lot.item_id] = lot
    costs = unit_costs(list(lots.values()))
    brings = {item: each * (1 - Fraction(share)) for item, each in sold.items()}
    return {
        item: brings[item] >= Fraction(cost)
        for item, lot in lots.items()
        if (cost := costs[lot.pk]) is not None
    }


def _made_of() -> dict[int, set[int]]:
    """All items that were made of each item, at any remove."""
    used = Movement.objects.used().filter(batch__lot__isnull=False).order_by()
    into: dict[int, set[int]] = defaultdict(set)
    pairs = used.values_list("lot__item", "batch__lot__item").distinct()
    for item, product in pairs:
        into[item].add(product)
    found: dict[int, set[int]] = {}
    for item in into:
        seen, waiting = set[int](), [*into[item]]
        while waiting:
            one = waiting.pop()
            if one not in seen:
                seen.add(one)
                waiting += into.get(one, ())
        found[item] = seen
    return found
