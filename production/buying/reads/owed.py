"""What is owed for purchases, what was paid, and the tax that comes back.

All sums are in the workshop's own money.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Prefetch

from production.buying.models import (
    BillPaid,
    ExtraCost,
    LinePrice,
    Purchase,
    PurchaseLine,
    SentBack,
    SupplierCredit,
)
from production.quantities.domain.numbers import ZERO, cents, money
from production.record.reads.restated import as_now
from production.stock.models.lots import Movement


@dataclass(frozen=True, slots=True)
class Billed:
    """One line or extra cost of a purchase as it was billed.

    ``on`` is the day of its bill: that of the invoice, or of the arrival where none is
    written. ``price`` and the taxes are None while nobody knows the price; ``tax`` is
    the part that does not come back. ``extra`` of an extra cost; ``line`` of a line.
    """

    purchase: Purchase
    on: date
    what: str
    price: Decimal | None
    tax: Decimal | None
    recoverable_tax: Decimal | None
    line: PurchaseLine | None = None
    extra: ExtraCost | None = None

    @property
    def total(self) -> Decimal | None:
        if self.price is None:
            return None
        return self.price + (self.tax or ZERO) + (self.recoverable_tax or ZERO)


@dataclass(frozen=True, slots=True)
class Credited:
    """Goods that went back to a supplier, and what he credits: None while his note is
    to come. ``movement`` is the entry as it stands now."""

    sent: SentBack
    movement: Movement
    row: SupplierCredit | None

    @property
    def amount(self) -> Decimal:
        return -self.movement.amount

    @property
    def purchase(self) -> Purchase | None:
        line = self.movement.lot.line
        return line.purchase if line else None

    @property
    def total(self) -> Decimal:
        return self.row.credit + self.row.recoverable_tax if self.row else ZERO


@dataclass(frozen=True, slots=True)
class PurchaseOpen:
    """A purchase with what it comes to, less what was credited, and what was paid.

    ``owed``, to the cent, is None while a price is not known. ``settled`` is the day on
    which somebody said that nothing more is owed, ``given_up`` what was open of that
    day: only what is billed, credited or paid later counts from then on.
    """

    purchase: Purchase
    owed: Decimal | None
    paid: Decimal
    payments: tuple[BillPaid, ...]
    settled: date | None = None
    given_up: Decimal | None = ZERO

    @property
    def left(self) -> Decimal | None:
        """What is still owed; below zero it is to come back."""
        if self.owed is None or self.given_up is None:
            return ZERO if self.settled else None
        return self.owed - self.paid - self.given_up


def billed(purchases: Iterable[int] | None = None) -> list[Billed]:
    """Every line and extra cost that stands, of these purchases or of all; 5 queries.

    In the order of the purchases, lines before extra costs.
    """
    papers = Purchase.objects.standing().select_related("supplier")
    if purchases is not None:
        papers = papers.filter(pk__in=list(purchases))
    of = papers.in_bulk()
    keys = None if purchases is None else list(of)
    lines = PurchaseLine.objects.standing().select_related("item")
    extras = ExtraCost.objects.all()
    if keys is not None:
        lines = lines.filter(purchase__in=keys)
        extras = extras.filter(purchase__in=keys)
    lines = lines.prefetch_related(
        Prefetch("prices", LinePrice.objects.order_by("pk"), to_attr="known_prices")
    )
    found: dict[int, list[Billed]] = defaultdict(list)
    for line in as_now(lines.order_by("purchase", "position")):
        paper = of[line.purchase_id]
        price = line.known_prices[-1] if line.known_prices else None
        found[paper.pk].append(_line(paper, line, price))
    for extra in as_now(extras.order_by("pk")):
        if extra.purchase_id in of:
            found[extra.purchase_id].append(_extra(of[extra.purchase_id], extra))
    return [row for key in sorted(found) for row in found[key]]


def _line(paper: Purchase, line: PurchaseLine, price: LinePrice | None) -> Billed:
    rate = paper.rate
    return Billed(
        purchase=paper,
        on=paper.invoiced or paper.arrived,
        what=str(line.item or line.text),
        price=money(price.price * rate) if price else None,
        tax=money(price.tax * rate) if price else None,
        recoverable_tax=money(price.recoverable_tax * rate) if price else None,
        line=line,
    )


def _extra(paper: Purchase, extra: ExtraCost) -> Billed:
    rate = paper.rate if extra.rate is None else extra.rate
    return Billed(
        purchase=paper,
        on=extra.invoiced,
        what=extra.kind,
        price=money(extra.amount * rate),
        tax=ZERO,
        recoverable_tax=money(extra.recoverable_tax * rate),
        extra=extra,
    )


def credited(lots: Iterable[int] | None = None) -> list[Credited]:
    """What stands as sent back to suppliers, oldest first; of all or these lots."""
    rows = Movement.objects.standing().filter(kind=Movement.Kind.SENT_BACK)
    if lots is not None:
        rows = rows.filter(lot__in=list(lots))
    rows = rows.select_related("lot__item", "lot__line__purchase__supplier", "place")
    entries = list(rows.in_book_order())
    first = {row.root_id or row.pk: row for row in entries}
    latest = SupplierCredit.objects.select_related("deed").order_by("pk")
    sendings = SentBack.objects.filter(movement__in=first).prefetch_related(
        Prefetch("credits", latest, to_attr="known_credits")
    )
    of = {sent.movement_id: sent for sent in sendings}
    return [
        Credited(of[key], entry, (of[key].known_credits or [None])[-1])
        for key, entry in first.items()
        if key in of
    ]


def owed_of(
    purchases: Iterable[Purchase], through: date | None = None
) -> list[PurchaseOpen]:
    """Each of these purchases, in their order; a fixed number of queries."""
    purchases = list(purchases)
    keys = [paper.pk for paper in purchases]
    bills: dict[int, list[Billed]] = defaultdict(list)
    for row in billed(keys):
        if through is None or row.on <= through:
            bills[row.purchase.pk].append(row)
    back: dict[int, list[Credited]] = defaultdict(list)
    for one in credited():
        if one.row and one.purchase and (not through or one.row.deed.on <= through):
            back[one.purchase.pk].append(one)
    paid: dict[int, list[BillPaid]] = defaultdict(list)
    rows = BillPaid.objects.filter(purchase__in=keys).select_related("deed__by")
    if through is not None:
        rows = rows.filter(deed__on__lte=through)
    for row in rows.order_by("deed__on", "pk"):
        paid[row.purchase_id].append(row)
    return [
        _open(paper, bills[paper.pk], back[paper.pk], paid[paper.pk])
        for paper in purchases
    ]


def _open(
    paper: Purchase, bills: list[Billed], back: list[Credited], paid: list[BillPaid]
) -> PurchaseOpen:
    settled = max((row.deed.on for row in paid if row.settles), default=None)
    given_up: Decimal | None = ZERO
    if settled:
        owed = _owed(bills, back, settled)
        gone = _sum(row for row in paid if row.deed.on <= settled)
        given_up = None if owed is None else owed - gone
    return PurchaseOpen(
        purchase=paper,
        owed=_owed(bills, back),
        paid=_sum(paid),
        payments=tuple(paid),
        settled=settled,
        given_up=given_up,
    )


def _sum(paid: Iterable[BillPaid]) -> Decimal:
    return sum((row.amount for row in paid), ZERO)


def _owed(
    bills: list[Billed], back: list[Credited], through: date | None = None
) -> Decimal | None:
    total = ZERO
    for row in bills:
        if through and row.on > through:
            continue
        if row.total is None:
            return None
        total += row.total
    for one in back:
        if one.row and (not through or one.row.deed.on <= through):
            total -= one.total
    return cents(total)


def open_purchases(through: date | None = None) -> list[PurchaseOpen]:
    """Purchases of which something is owed, or more was paid than was; oldest first.

    One without a price is one of them: nobody knows what is owed.
    """
    papers = Purchase.objects.standing().select_related("supplier")
    if through is not None:
        papers = papers.filter(arrived__lte=through)
    papers = papers.order_by("arrived", "pk")
    return [one for one in owed_of(papers, through) if one.left != 0]


def bill_payments(after: date | None, through: date) -> list[BillPaid]:
    """What was paid later than ``after``, by its day; with its purchase and deed."""
    rows = BillPaid.objects.filter(deed__on__lte=through)
    if after is not None:
        rows = rows.filter(deed__on__gt=after)
    rows = rows.select_related("purchase__supplier", "deed")
    return list(rows.order_by("deed__on", "pk"))


@dataclass(frozen=True, slots=True)
class TaxBack:
    """Tax that the authority gives back, on the day of its paper; below zero where a
    supplier's credit takes it back again."""

    on: date
    number: str
    supplier: str
    what: str
    amount: Decimal


def recoverable_taxes(after: date | None, through: date) -> list[TaxBack]:
    """Later than ``after``, up to ``through``, by their day."""
    found = [
        TaxBack(
            on=row.on,
            number=row.purchase.number,
            supplier=row.purchase.supplier.name,
            what=row.what,
            amount=row.recoverable_tax,
        )
        for row in billed()
        if row.recoverable_tax
    ]
    for one in credited():
        if one.row and one.row.recoverable_tax:
            paper = one.purchase
            found.append(
                TaxBack(
                    on=one.row.deed.on,
                    number=one.row.note or (paper.number if paper else ""),
                    supplier=paper.supplier.name if paper else "",
                    what=f"{one.movement.lot.item} sent back",
                    amount=-one.row.recoverable_tax,
                )
            )
    found = [row for row in found if row.on <= through]
    return sorted(
        (row for row in found if after is None or row.on > after),
        key=lambda row: row.on,
    )
