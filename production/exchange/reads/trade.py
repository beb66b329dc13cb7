"""Purchases and sales, told as events; what was taken back is left out."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date
from typing import Any

from django.db.models import Prefetch

from production.buying.models import (
    BillPaid,
    ExtraCost,
    LinePrice,
    Purchase,
    PurchaseLine,
)
from production.buying.reads.owed import credited
from production.exchange import domain as history
from production.exchange.reads.events import (
    Spot,
    Told,
    all_told,
    named,
    not_before,
    told_of,
)
from production.exchange.reads.ledger import KIND, Ledger
from production.record.domain.keys import said
from production.record.reads.restated import as_now, settle, with_told
from production.selling.models import (
    EmptyBack,
    Looked,
    Return,
    Sale,
    SaleLine,
    SalePaid,
)
from production.stock.models.lots import Movement

Line = history.OneLot | history.SeveralLots | history.NotStocked


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
    payments: dict[int, list[BillPaid]] = defaultdict(list)
    for paid in BillPaid.objects.select_related("deed").order_by("pk"):
        payments[paid.purchase_id].append(paid)
    standing = PurchaseLine.objects.standing().select_related("item")
    purchases = Purchase.objects.standing().select_related("supplier", "deed")
    of_them = Prefetch("lines", with_told(standing))
    purchases = purchases.prefetch_related(of_them).order_by("pk")
    numbers = Counter(purchases.values_list("number", flat=True))
    for purchase in purchases:
        lines = settle(purchase.lines.all())
        paper = _named(purchase, alone=numbers[purchase.number] == 1)
        received = [row for line in lines for row in arrived[line.pk]]
        # The first arrival of its goods, or its own day where none are stocked.
        on = min((row.on for row in received), default=purchase.deed.on)
        spot = (on, purchase.deed_id)
        costs = [one for one in extras[purchase.pk] if _known_at_once(purchase, one)]
        told = tuple(
            _line(book, line, arrived[line.pk], first.get(line.pk)) for line in lines
        )
        place = named(received[0].place) if received else None
        yield Told(*spot, 0, _purchase(purchase, on, costs, told, place))
        for position, line in enumerate(lines, start=1):
            after = spot
            for price in later[line.pk]:
                # The price typed last counts, also where it is dated before another.
                after = not_before(price.deed.on, price.deed_id, after)
                yield _late_price(paper, position, price, after)
        for extra in extras[purchase.pk]:
            if extra not in costs:
                yield _late_extra(paper, extra, spot)
        for paid in payments[purchase.pk]:
            event = told_of(history.BillPaid, paid, **paper)
            after = not_before(paid.deed.on, paid.deed_id, spot)
            yield Told(*after, 7, event)


def _named(purchase: Purchase, *, alone: bool) -> dict[str, str]:
    """How a later bill names its purchase: two suppliers may both send a number."""
    supplier = "" if alone else purchase.supplier.name
    return {"purchase": purchase.number, "supplier": supplier}


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
    purchase: Purchase,
    on: date,
    costs: list[ExtraCost],
    lines: tuple[Line, ...],
    place: str | None,
) -> history.Purchase:
    # Also a rate of 1 where another currency is named: it was typed.
    told_rate = purchase.rate != 1 or purchase.currency
    return told_of(
        history.Purchase,
        purchase,
        on=on,
        extra_costs=all_told(history.Extra, costs),
        lines=lines,
        rate=purchase.rate if told_rate else None,
        place=place,
    )


def _line(
    book: Ledger, line: PurchaseLine, rows: list[Movement], price: LinePrice | None
) -> Line:
    weight = {"shipping_weight": line.shipping_weight}
    costs = (
        told_of(history.Price, price, **weight) if price else history.Price(**weight)
    )
    told: dict[str, Any] = {"price": costs, "text": line.text}
    if line.item is None:
        return history.NotStocked(**told)
    told |= {"item": line.item.name, "kind": line.item.kind, "unit": line.item.unit}
    lots = [told_of(history.LotOfLine, row, goods=book.goods(row.lot)) for row in rows]
    if len(lots) > 1:
        return history.SeveralLots(lots=tuple(lots), **told)
    return history.OneLot(**said(lots[0]), **told)


def _late_price(
    paper: dict[str, str], position: int, price: LinePrice, spot: Spot
) -> Told:
    event = told_of(history.LatePrice, price, line=position, **paper)
    return Told(*spot, 6, event)


def _late_extra(paper: dict[str, str], extra: ExtraCost, spot: Spot) -> Told:
    on = extra.deed.on
    late = None if extra.invoiced == on else extra.invoiced
    own = told_of(history.Extra, extra)
    event = told_of(history.ExtraCost, extra, on=on, extra=own, invoiced=late, **paper)
    return Told(*not_before(on, extra.deed_id, spot), 6, event)


def sale_events(book: Ledger) -> Iterator[Told]:
    sold = {row.sale_line_id: row for row in book.of_kind(KIND.SOLD)}
    positions: dict[int, tuple[Sale, int]] = {}
    sales = Sale.objects.select_related("customer", "deed")
    of_them = with_told(SaleLine.objects.select_related("lot"))
    payments: dict[int, list[SalePaid]] = defaultdict(list)
    for paid in SalePaid.objects.select_related("deed").order_by("pk"):
        payments[paid.sale_id].append(paid)
    for sale in sales.prefetch_related(Prefetch("lines", of_them)).order_by("pk"):
        lines = [line for line in settle(sale.lines.all()) if line.pk in sold]
        if not lines:
            continue
        for position, line in enumerate(lines, start=1):
            positions[line.pk] = (sale, position)
        told = tuple(told_of(history.SaleLine, line, sold[line.pk]) for line in lines)
        event = told_of(history.Sale, sale, lines=told)
        yield Told(sale.on, sale.deed_id, 2, event)
        for paid in payments[sale.pk]:
            paid_for = told_of(history.SalePaid, paid, sale=sale.number)
            spot = not_before(paid.deed.on, paid.deed_id, (sale.on, sale.deed_id))
            yield Told(*spot, 7, paid_for)
    returned = {row.pk: row for row in book.of_kind(KIND.RETURNED)}
    for back in Return.objects.select_related("line__lot", "deed").order_by("pk"):
        if back.movement_id in returned and back.line_id in sold:
            yield _return(
                back,
                returned[back.movement_id],
                sold[back.line_id],
                positions[back.line_id],
            )


def empties_events(book: Ledger) -> Iterator[Told]:
    """Empties that came back, with their pieces as they are now."""
    came = {row.root_id or row.pk: row for row in book.of_kind(KIND.RECEIVED)}
    for back in EmptyBack.objects.select_related("customer", "deed").order_by("pk"):
        row = came.get(back.movement_id)
        if row is not None:
            own = {"reason": back.deed.reason, "value": row.value or 0}
            event = told_of(history.EmptyBack, row, back, row.lot, **own)
            yield Told(row.on, book.order(row), 3, event)


def look_events(book: Ledger) -> Iterator[Told]:
    """What was seen of returns; what is sealed says where it went."""
    returned = {row.pk for row in book.of_kind(KIND.RETURNED)}
    went = {row.deed_id: row for row in book.of_kind(KIND.MOVED) if row.amount > 0}
    rows = Looked.objects.select_related("back", "deed").order_by("pk")
    for look in rows.filter(back__movement__in=returned):
        to = went.get(look.deed_id)
        place = to.place.name if to else None
        event = told_of(history.Look, look, back=look.back.number, place=place)
        yield Told(look.deed.on, look.deed_id, 3, event)


def credit_events(book: Ledger) -> Iterator[Told]:
    """What suppliers credit; which sending it is of goes by its place in the book."""
    many: Counter[int] = Counter()
    for one in credited():
        entry = one.movement
        many[entry.lot_id] += 1
        for row in one.sent.known_credits:
            on, order = not_before(row.deed.on, row.deed_id, book.spot(entry))
            facts = {"lot": entry.lot.code, "sending": many[entry.lot_id]}
            yield Told(on, order, 6, told_of(history.Credit, row, on=on, **facts))


def _return(
    back: Return, row: Movement, sold: Movement, position_in: tuple[Sale, int]
) -> Told:
    """Its place is only told where it came back to another than it left from."""
    sale, position = position_in
    event = told_of(
        history.Return,
        row,
        back,
        sale=sale.number,
        line=position,
        place=row.place.name if row.place_id != sold.place_id else None,
        reason=back.deed.reason,
    )
    return Told(row.on, back.deed_id, 3, event)
