"""What customers paid, and what is still to come."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.quantities.domain.numbers import ZERO, cents
from production.selling.models import Sale, SalePaid
from production.selling.reads.deposits import Deposit, deposits_on
from production.selling.reads.revenue import Revenue, in_all, revenues_of


@dataclass(frozen=True, slots=True)
class SaleOpen:
    """A sale, what it comes to less what came back, and what was paid of it.

    ``owed``, to the cent, is None while a price is not known. ``settled`` is the day on
    which somebody said that nothing more is expected, ``given_up`` what was open of
    that day: only what came back or was paid later counts from then on. ``deposit`` is
    a part of what is owed that is no revenue: it goes back for the bottles.
    """

    sale: Sale
    owed: Decimal | None
    deposit: Decimal
    paid: Decimal
    payments: tuple[SalePaid, ...]
    settled: date | None = None
    given_up: Decimal | None = ZERO

    @property
    def left(self) -> Decimal | None:
        """What is still to come; below zero it is to be paid back."""
        if self.owed is None or self.given_up is None:
            return ZERO if self.settled else None
        return self.owed - self.paid - self.given_up


def paid_of(sales: Iterable[Sale], through: date | None = None) -> list[SaleOpen]:
    """Each of these sales, in their order; some seven queries for all of them."""
    sales = list(sales)
    keys = [sale.pk for sale in sales]
    rows = SalePaid.objects.filter(sale__in=keys).select_related("deed__by")
    if through is not None:
        rows = rows.filter(deed__on__lte=through)
    paid: dict[int, list[SalePaid]] = defaultdict(list)
    for row in rows.order_by("deed__on", "pk"):
        paid[row.sale_id].append(row)
    brought, deposits = revenues_of(keys), deposits_on(keys)
    found = []
    for sale in sales:
        own = [row for row in brought[sale.pk] if through is None or row.on <= through]
        held = deposits.get(sale.pk, [])
        held = [one for one in held if through is None or one.on <= through]
        money = paid[sale.pk]
        settled = max((row.deed.on for row in money if row.settles), default=None)
        found.append(
            SaleOpen(
                sale=sale,
                owed=_asked(own, held),
                deposit=sum((one.money for one in held), ZERO),
                paid=_sum(money),
                payments=tuple(money),
                settled=settled,
                given_up=_given_up(own, held, money, settled) if settled else ZERO,
            )
        )
    return found


def _asked(rows: Iterable[Revenue], held: Iterable[Deposit]) -> Decimal | None:
    came = in_all(rows)
    if came.unpriced:
        return None
    return cents(came.gross + sum((one.money for one in held), ZERO))


def _sum(money: Iterable[SalePaid]) -> Decimal:
    return sum((row.amount for row in money), ZERO)


def _given_up(
    rows: list[Revenue], held: list[Deposit], money: list[SalePaid], day: date
) -> Decimal | None:
    """What was open at the end of the day on which it was settled."""
    asked = _asked(
        [row for row in rows if row.on <= day], [one for one in held if one.on <= day]
    )
    if asked is None:
        return None
    return asked - _sum(row for row in money if row.deed.on <= day)


def open_sales(through: date | None = None) -> list[SaleOpen]:
    """Sales of which something is to come, or more came than was asked; oldest first.

    A sale without a price is one of them: nobody knows what is to come.
    """
    sales = Sale.objects.standing().select_related("customer").order_by("on", "pk")
    if through is not None:
        sales = sales.filter(on__lte=through)
    return [one for one in paid_of(sales, through) if one.left != 0]


def sale_payments(after: date | None, through: date) -> list[SalePaid]:
    """What was paid later than ``after``, by its day; with its sale and deed."""
    rows = SalePaid.objects.filter(deed__on__lte=through)
    if after is not None:
        rows = rows.filter(deed__on__gt=after)
    rows = rows.select_related("sale__customer", "deed")
    return list(rows.order_by("deed__on", "pk"))
