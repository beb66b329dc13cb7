"""What an accountant gets of a period: the rows behind every figure of the books."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Min

from costing.domain.books import GIVEN, Books, Method
from costing.domain.rollup import NANO
from costing.reads.books import books_between, to_date
from costing.reads.figures import View, terms
from costing.reads.on_date import ValuedFlow
from production.buying.models import BillPaid
from production.buying.reads.bills import bills
from production.buying.reads.owed import (
    Billed,
    Credited,
    PurchaseOpen,
    TaxBack,
    bill_payments,
    billed,
    credited,
    open_purchases,
    recoverable_taxes,
)
from production.models import EmptyBack, Lot, Movement, SalePaid, Work, Workshop
from production.quantities.domain.numbers import ZERO
from production.record.models.ink import Closing
from production.record.reads.restated import as_now
from production.selling.reads.deposits import (
    DepositMove,
    Party,
    deposits,
    deposits_between,
)
from production.selling.reads.payments import SaleOpen, open_sales, sale_payments
from production.selling.reads.revenue import Revenue, sale_revenues
from production.yields.reads import standing_work

DAY = timedelta(days=1)
KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class Bought:
    """A line of an invoice, or what was drawn from the tap; money in own currency.

    ``extra`` is its share of extra costs. None is not known. ``stocked``: it came into
    a lot, and its cost with it.
    """

    arrived: date
    invoiced: date | None
    number: str
    supplier: str
    what: str
    amount: Decimal | None
    unit: str
    price: Decimal | None
    tax: Decimal | None
    extra: Decimal | None
    recoverable_tax: Decimal | None
    stocked: bool


@dataclass(frozen=True, slots=True)
class Sold:
    """A line of a sale, or some of it that came back, and its cost in nano."""

    row: Revenue
    cost: int | None


@dataclass(frozen=True, slots=True)
class Lost:
    """What left without a sale; ``loss`` is that of the books, or drawings."""

    on: date
    loss: str
    why: str
    lot: str
    item: str
    unit: str
    amount: Decimal | None
    nano: int


@dataclass(frozen=True, slots=True)
class SentOff:
    """What a supplier got back in the period, at its cost, and what he credits."""

    on: date
    lot: str
    item: str
    unit: str
    supplier: str
    amount: Decimal
    nano: int
    credit: Credited | None


@dataclass(frozen=True, slots=True)
class YearFile:
    workshop: str
    start: date | None
    books: Books
    closed: date | None
    bought: tuple[Bought, ...]
    sent: tuple[SentOff, ...]
    sold: tuple[Sold, ...]
    lost: tuple[Lost, ...]
    work: tuple[Work, ...]
    taxes: tuple[TaxBack, ...]
    paid: tuple[BillPaid, ...]
    received: tuple[SalePaid, ...]
    owed: tuple[PurchaseOpen, ...]
    to_come: tuple[SaleOpen, ...]
    deposits: tuple[DepositMove, ...]
    deposits_owed: tuple[Party, ...]


def year_file(start: date | None, through: date, method: Method = "lots") -> YearFile:
    """All of it from ``start`` (None: the beginning) through a day."""
    books = books_between(start, through, method)
    after = books.after
    view = to_date(through, method).view
    flows = view.flows(after)
    workshop = Workshop.objects.first()
    closing = Closing.objects.order_by("-through").first()
    items = {
        lot.code: lot
        for lot in Lot.objects.select_related("item", "line__purchase__supplier")
    }
    return YearFile(
        workshop=workshop.name if workshop else "",
        start=start,
        books=books,
        closed=closing.through if closing else None,
        bought=tuple(_bought(after, through)),
        sent=tuple(_sent(flows, items)),
        sold=tuple(_sold(flows, after, through)),
        lost=(*_lost(flows, items), *_spoilt(view, after, items)),
        work=tuple(_work(after, through)),
        taxes=tuple(recoverable_taxes(after, through)),
        paid=tuple(bill_payments(after, through)),
        received=tuple(sale_payments(after, through)),
        owed=tuple(open_purchases(through)),
        to_come=tuple(open_sales(through)),
        deposits=tuple(deposits_between(after, through)),
        deposits_owed=tuple(one for one in deposits(through) if one.owed),
    )


def _within(on: date, after: date | None, through: date) -> bool:
    return on <= through and (after is None or on > after)


def _bought(after: date | None, through: date) -> list[Bought]:
    came = Movement.objects.standing().filter(kind=KIND.RECEIVED)
    first = dict(
        came.filter(lot__line__isnull=False)
        .order_by()
        .values_list("lot__line")
        .annotate(first=Min("on"))
    )
    shares = _shares()
    empties = set(EmptyBack.objects.values_list("movement__lot", flat=True))
    found = []
    for row in billed():
        line = row.line
        if line is None:
            continue
        arrived = first.get(line.pk, row.purchase.arrived)
        if _within(arrived, after, through):
            found.append(_line(row, arrived, shares))
    for entry in as_now(came.filter(lot__line=None).select_related("lot__item")):
        if _within(entry.on, after, through):
            found.append(_unbilled(entry, entry.lot_id in empties))
    return sorted(found, key=lambda one: one.arrived)


def _shares() -> dict[int, tuple[Decimal, Decimal | None]]:
    """Of each stocked line how much came, and its share of the extra costs."""
    found = {}
    for bill in bills().values():
        for place, one in enumerate(bill.lines):
            parts = [
                extra.shares[place] if extra.shares else None for extra in bill.extras
            ]
            known = [part for part in parts if part is not None]
            share = sum(known, ZERO) if len(known) == len(parts) else None
            found[one.line.pk] = (sum(one.came.values(), ZERO), share)
    return found


def _line(
    row: Billed, arrived: date, shares: dict[int, tuple[Decimal, Decimal | None]]
) -> Bought:
    assert row.line is not None
    stocked = row.line.pk in shares
    amount, extra = shares.get(row.line.pk, (row.line.amount, ZERO))
    return Bought(
        arrived=arrived,
        invoiced=row.purchase.invoiced,
        number=row.purchase.number,
        supplier=row.purchase.supplier.name,
        what=row.what,
        amount=amount,
        unit=row.line.item.unit if row.line.item else "",
        price=row.price,
        tax=row.tax,
        extra=extra,
        recoverable_tax=row.recoverable_tax,
        stocked=stocked,
    )


def _unbilled(entry: Movement, empty: bool) -> Bought:
    return Bought(
        arrived=entry.on,
        invoiced=None,
        number="",
        supplier="came back empty" if empty else "from the tap",
        what=entry.lot.item.name,
        amount=entry.amount,
        unit=entry.lot.item.unit,
        price=entry.value,
        tax=ZERO,
        extra=ZERO,
        recoverable_tax=ZERO,
        stocked=True,
    )


def _sent(flows: list[ValuedFlow], items: dict[str, Lot]) -> list[SentOff]:
    of = {one.movement.pk: one for one in credited()}
    found = []
    for flow in flows:
        if flow.kind != KIND.SENT_BACK:
            continue
        lot = items[flow.lot]
        found.append(
            SentOff(
                on=flow.on,
                lot=flow.lot,
                item=lot.item.name,
                unit=lot.item.unit,
                supplier=lot.line.purchase.supplier.name if lot.line else "",
                amount=-flow.amount,
                nano=sum(flow.parts.values()),
                credit=of.get(flow.movement),
            )
        )
    return found


def _sold(flows: list[ValuedFlow], after: date | None, through: date) -> list[Sold]:
    costs = {flow.movement: flow for flow in flows}
    found = []
    for row in sale_revenues(after, through):
        flow = costs.get(row.movement)
        cost = sum(flow.parts.values()) if flow and flow.known else None
        found.append(Sold(row, cost if flow else 0))
    return found


def _lost(flows: list[ValuedFlow], items: dict[str, Lot]) -> list[Lost]:
    sole = terms().sole_trader
    found = []
    for flow in flows:
        if flow.kind not in (KIND.GIVEN, KIND.DISCARDED, KIND.COUNTED):
            continue
        name = flow.kind
        if flow.trial:
            name = "development"
        elif flow.kind == KIND.GIVEN:
            name = GIVEN.get(flow.why, "given")
            name = "drawings" if name == "own_use" and sole else name
        lot = items[flow.lot]
        found.append(
            Lost(
                on=flow.on,
                loss=name,
                why=flow.why,
                lot=flow.lot,
                item=lot.item.name,
                unit=lot.item.unit,
                amount=-flow.amount,
                nano=sum(flow.parts.values()),
            )
        )
    return found


def _spoilt(view: View, after: date | None, items: dict[str, Lot]) -> list[Lost]:
    """What batches lost in the making, on the day of what they made or last took."""
    rows = Movement.objects.standing().filter(batch__isnull=False, on__lte=view.day)
    last = dict(rows.order_by("on", "pk").values_list("batch__code", "on"))
    found = []
    for one in view.spoilt():
        on = last.get(one.batch)
        if on is None or (after is not None and on <= after):
            continue
        lot = items.get(one.lot or "")
        found.append(
            Lost(
                on=on,
                loss="abnormal",
                why=f"batch {one.batch}",
                lot=one.lot or "",
                item=lot.item.name if lot else "lost whole",
                unit=lot.item.unit if lot else "",
                amount=None,
                nano=one.nano,
            )
        )
    return found


def _work(after: date | None, through: date) -> list[Work]:
    rows = standing_work().filter(on__lte=through).select_related("batch")
    if after is not None:
        rows = rows.filter(on__gt=after)
    return as_now(rows.order_by("on", "pk"))


def by_loss(rows: tuple[Lost, ...]) -> dict[str, int]:
    """What the rows come to, by the name of the loss."""
    found: dict[str, int] = defaultdict(int)
    for row in rows:
        found[row.loss] += row.nano
    return found


def nano_of(value: Decimal | None) -> int:
    return int((value or ZERO) * NANO)
