"""Purchases and sales, told as events; what was taken back is left out."""

from collections import Counter, defaultdict
from collections.abc import Iterator

from django.db.models import Prefetch

from production.models import (
    ExtraCost,
    LinePrice,
    Looked,
    Movement,
    Purchase,
    PurchaseLine,
    Return,
    Sale,
    SaleLine,
)
from production.reads.history.ledger import KIND, Ledger, place_of
from production.reads.history.told import (
    Facts,
    Spot,
    Told,
    day,
    figure,
    not_before,
    some,
)
from production.reads.restated import as_now, settle, with_told


def purchase_events(book: Ledger) -> Iterator[Told]:
    arrived: dict[int, list[Movement]] = defaultdict(list)
    for row in book.of_kind(KIND.RECEIVED):
        if row.lot.line_id:
            arrived[row.lot.line_id].append(row)
    first, later = _prices()
    extras: dict[int, list[ExtraCost]] = defaultdict(list)
    bills = ExtraCost.objects.select_related("deed").order_by("pk")
    for extra in as_now(bills):
        extras[extra.purchase_id].append(extra)
    standing = PurchaseLine.objects.standing().select_related("item")
    purchases = Purchase.objects.standing().select_related("supplier", "deed")
    of_them = Prefetch("lines", with_told(standing))
    purchases = purchases.prefetch_related(of_them).order_by("pk")
    numbers = Counter(purchases.values_list("number", flat=True))
    for purchase in purchases:
        lines = settle(purchase.lines.all())
        paper = _named(purchase, alone=numbers[purchase.number] == 1)
        yield _purchase(book, purchase, lines, arrived, first, extras[purchase.pk])
        spot = _spot(book, purchase, lines, arrived)
        for position, line in enumerate(lines, start=1):
            after = spot
            for price in later[line.pk]:
                # The price typed last counts, also where it is dated before another.
                after = not_before(price.deed.on, price.deed_id, after)
                yield _late_price(paper, position, price, after)
        for extra in extras[purchase.pk]:
            if not _known_at_once(purchase, extra):
                yield _late_extra(paper, extra, spot)


def _named(purchase: Purchase, *, alone: bool) -> Facts:
    """How a later bill names its purchase: two suppliers may both send a number."""
    named: Facts = {"purchase": purchase.number}
    return named if alone else {**named, "supplier": purchase.supplier.name}


def _known_at_once(purchase: Purchase, extra: ExtraCost) -> bool:
    """Billed with the goods; one whose day was put right is told by itself."""
    return extra.deed_id == purchase.deed_id and extra.told_invoiced is None


def _prices() -> tuple[dict[int, LinePrice], dict[int, list[LinePrice]]]:
    """The price typed with each line, and those that came later."""
    first: dict[int, LinePrice] = {}
    later: dict[int, list[LinePrice]] = defaultdict(list)
    for price in LinePrice.objects.select_related("line", "deed").order_by("pk"):
        if price.deed_id == price.line.deed_id:
            first[price.line_id] = price
        else:
            later[price.line_id].append(price)
    return first, later


def _purchase(
    book: Ledger,
    purchase: Purchase,
    lines: list[PurchaseLine],
    arrived: dict[int, list[Movement]],
    first: dict[int, LinePrice],
    extras: list[ExtraCost],
) -> Told:
    received = [row for line in lines for row in arrived[line.pk]]
    on, order = _spot(book, purchase, lines, arrived)
    facts: Facts = {
        "type": "purchase",
        "date": day(on),
        "number": purchase.number,
        "supplier": purchase.supplier.name,
        "extra_costs": [
            _own_rate(
                {"kind": extra.kind, "amount": figure(extra.amount), "by": extra.by},
                extra,
            )
            for extra in extras
            if _known_at_once(purchase, extra)
        ],
        "lines": [
            _line(book, line, arrived[line.pk], first.get(line.pk)) for line in lines
        ],
    }
    some(
        facts,
        ordered=day(purchase.ordered),
        invoiced=day(purchase.invoiced),
        currency=purchase.currency,
        rate=figure(purchase.rate) if _told_rate(purchase) else None,
        place=place_of(received[0]) if received else None,
        reason=purchase.deed.reason,
    )
    return Told(on, order, 0, facts)


def _told_rate(purchase: Purchase) -> bool:
    """Also a rate of 1 where another currency is named: it was typed."""
    return purchase.rate != 1 or bool(purchase.currency)


def _own_rate(facts: Facts, extra: ExtraCost) -> Facts:
    return some(facts, currency=extra.currency, rate=figure(extra.rate))


def _spot(
    book: Ledger,
    purchase: Purchase,
    lines: list[PurchaseLine],
    arrived: dict[int, list[Movement]],
) -> Spot:
    """The first arrival of its goods, or the deed's own day where none are stocked."""
    received = [row for line in lines for row in arrived[line.pk]]
    on = min((row.on for row in received), default=purchase.deed.on)
    return on, purchase.deed_id


def _line(
    book: Ledger, line: PurchaseLine, rows: list[Movement], price: LinePrice | None
) -> Facts:
    costs = {
        "price": figure(price.price) if price else None,
        "tax": figure(price.tax) if price else "0",
        "recoverable_tax": figure(price.recoverable_tax) if price else "0",
        "shipping_weight": figure(line.shipping_weight),
    }
    if line.item is None:
        return some({"item": None, **costs}, text=line.text)
    head = {"item": line.item.name, "kind": line.item.kind}
    lots = [_lot(book, row) for row in rows]
    unit = {"unit": line.item.unit}
    if len(lots) > 1:
        return some({"lots": lots, **head, **unit, **costs}, text=line.text)
    [lot] = lots
    code, amount = lot.pop("lot"), lot.pop("amount")
    return some(
        {"lot": code, **head, "amount": amount, **unit, **costs, **lot}, text=line.text
    )


def _lot(book: Ledger, row: Movement) -> Facts:
    lot = row.lot
    facts: Facts = {"lot": lot.code, "amount": figure(row.amount)}
    facts["supplier_lot"] = lot.supplier_lot
    return some({**facts, **book.lot_facts(lot)}, net_mass=figure(lot.net_mass))


def _late_price(paper: Facts, position: int, price: LinePrice, spot: Spot) -> Told:
    facts: Facts = {"type": "price", "date": day(price.deed.on)}
    facts |= {**paper, "line": position}
    facts |= {"price": figure(price.price), "tax": figure(price.tax)}
    facts["recoverable_tax"] = figure(price.recoverable_tax)
    some(facts, reason=price.deed.reason)
    return Told(*spot, 6, facts)


def _late_extra(paper: Facts, extra: ExtraCost, spot: Spot) -> Told:
    facts: Facts = {"type": "extra_cost", "date": day(extra.deed.on)}
    facts |= {**paper, "kind": extra.kind}
    facts |= {"amount": figure(extra.amount), "by": extra.by}
    late = None if extra.invoiced == extra.deed.on else day(extra.invoiced)
    some(_own_rate(facts, extra), invoiced=late, reason=extra.deed.reason)
    return Told(*not_before(extra.deed.on, extra.deed_id, spot), 6, facts)


def sale_events(book: Ledger) -> Iterator[Told]:
    sold = {row.sale_line_id: row for row in book.of_kind(KIND.SOLD)}
    positions: dict[int, tuple[Sale, int]] = {}
    sales = Sale.objects.select_related("customer", "deed")
    of_them = with_told(SaleLine.objects.select_related("lot"))
    for sale in sales.prefetch_related(Prefetch("lines", of_them)).order_by("pk"):
        lines = [line for line in settle(sale.lines.all()) if line.pk in sold]
        if not lines:
            continue
        for position, line in enumerate(lines, start=1):
            positions[line.pk] = (sale, position)
        yield _sale(sale, lines, sold)
    returned = {row.pk: row for row in book.of_kind(KIND.RETURNED)}
    for back in Return.objects.select_related("line__lot", "deed").order_by("pk"):
        if back.movement_id in returned and back.line_id in sold:
            yield _return(
                back,
                returned[back.movement_id],
                sold[back.line_id],
                positions[back.line_id],
            )


def look_events(book: Ledger) -> Iterator[Told]:
    """What was seen of returns; what is sealed says where it went."""
    returned = {row.pk for row in book.of_kind(KIND.RETURNED)}
    went = {row.deed_id: row for row in book.of_kind(KIND.MOVED) if row.amount > 0}
    rows = Looked.objects.select_related("back", "deed").order_by("pk")
    for look in rows.filter(back__movement__in=returned):
        facts: Facts = {"type": "look", "date": day(look.deed.on)}
        facts |= {"return": look.back.number, "seen": look.seen}
        facts["amount"] = figure(look.amount)
        to = went.get(look.deed_id)
        some(facts, place=to.place.name if to else None, reason=look.deed.reason)
        yield Told(look.deed.on, look.deed_id, 3, facts)


def _sale(sale: Sale, lines: list[SaleLine], sold: dict[int, Movement]) -> Told:
    facts: Facts = {
        "type": "sale",
        "date": day(sale.on),
        "number": sale.number,
        "channel": sale.channel,
        "customer": sale.customer.name if sale.customer else None,
        "lines": [
            some(
                {
                    "lot": line.lot.code,
                    "amount": figure(line.amount),
                    "unit_price": figure(line.unit_price),
                },
                place=place_of(sold[line.pk]),
            )
            for line in lines
        ],
    }
    return Told(sale.on, sale.deed_id, 2, some(facts, reason=sale.deed.reason))


def _return(
    back: Return, row: Movement, sold: Movement, position_in: tuple[Sale, int]
) -> Told:
    """Its place is only told where it came back to another than it left from."""
    sale, position = position_in
    facts: Facts = {"type": "return", "date": day(row.on), "number": back.number}
    facts |= {"sale": sale.number, "line": position, "lot": back.line.lot.code}
    facts |= {"amount": figure(row.amount), "then": back.then}
    place = row.place.name if row.place_id != sold.place_id else None
    some(facts, place=place, reason=back.deed.reason)
    return Told(row.on, back.deed_id, 3, facts)
