"""What customers paid, and what is still to come."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.quantities.domain.numbers import ZERO, cents
from production.selling.models import Sale, SalePaid
from production.selling.reads.deposits import deposits_on
from production.selling.reads.revenue import in_all, revenues_of


@dataclass(frozen=True, slots=True)
class SaleOpen:
    """A sale, what it comes to less what came back, and what was paid of it.

    ``deposit`` is a part of it that is no revenue: it is owed back for the bottles.

    ``owed``, to the cent, is None while a price is not known; ``left`` is what is still
    to come, 0 where somebody said that nothing more is expected.
    """

    sale: Sale
    owed: Decimal | None
    deposit: Decimal
    paid: Decimal
    settled: bool
    payments: tuple[SalePaid, ...]

    @property
    def left(self) -> Decimal | None:
        if self.settled:
            return ZERO
        return None if self.owed is None else self.owed - self.paid


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
    brought, deposits = revenues_of(keys), deposits_on(keys, through)
    found = []
    for sale in sales:
        own = [row for row in brought[sale.pk] if through is None or row.on <= through]
        came, deposit = in_all(own), deposits.get(sale.pk, ZERO)
        found.append(
            SaleOpen(
                sale=sale,
                owed=None if came.unpriced else cents(came.gross + deposit),
                deposit=deposit,
                paid=sum((row.amount for row in paid[sale.pk]), ZERO),
                settled=any(row.settles for row in paid[sale.pk]),
                payments=tuple(paid[sale.pk]),
            )
        )
    return found


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
