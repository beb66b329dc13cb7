"""What sales brought, net of sales tax and less what came back.

The one owner of the revenue of a line: the page of a sale, the lists, the books and the
accountant's file ask here.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from production.quantities.domain.numbers import ZERO
from production.record.reads.restated import as_now
from production.selling.domain.sales_tax import NOTHING, Taxed, taxed
from production.selling.models import Return, Sale, SaleLine
from production.stock.models.lots import Movement

KIND = Movement.Kind


@dataclass(frozen=True, slots=True)
class Revenue:
    """A line on the day it was sold; or some of it, on the day it came back (``back``,
    then all figures are below zero).

    ``line`` and ``sale`` are keys, ``movement`` that of the entry, ``called`` what the
    line is called. ``gross`` is what
    was paid, ``tax`` the sales tax in it and ``net`` the revenue, in the workshop's
    money; all three None while the price is not known.
    """

    line: int
    called: str
    sale: int
    number: str
    movement: int
    lot: str
    item: str
    unit: str
    on: date
    customer: str
    channel: str
    amount: Decimal
    gross: Decimal | None
    tax: Decimal | None
    net: Decimal | None
    back: bool = False


def sale_revenues(
    after: date | None = None, through: date | None = None
) -> list[Revenue]:
    """Every line sold and every return later than ``after``, up to ``through``.

    In the order of the book; three queries.
    """
    kinds = (KIND.SOLD, KIND.RETURNED)
    rows = Movement.objects.standing().filter(kind__in=kinds)
    if through is not None:
        rows = rows.filter(on__lte=through)
    found = _revenues(rows)
    return [row for row in found if after is None or row.on > after]


def revenues_of(sales: Iterable[int]) -> dict[int, list[Revenue]]:
    """The same of these sales alone, by their keys; three queries."""
    kinds = (KIND.SOLD, KIND.RETURNED)
    rows = Movement.objects.standing().filter(
        kind__in=kinds, sale_line__sale__in=list(sales)
    )
    found: dict[int, list[Revenue]] = defaultdict(list)
    for row in _revenues(rows):
        found[row.sale].append(row)
    return found


def line_taxed(line: SaleLine, amount: Decimal | None = None) -> Taxed | None:
    """What a line brought before anything came back; as it stands now."""
    sale = line.sale
    return taxed(
        line.unit_price,
        line.amount if amount is None else amount,
        rate=sale.tax_rate,
        tax_is=sale.tax_is,
        typed=line.tax,
    )


def _revenues(rows: QuerySet[Movement]) -> list[Revenue]:
    rows = rows.in_book_order()
    entries = list(rows.select_related("lot__item"))
    wanted = {row.sale_line_id for row in entries}
    some = SaleLine.objects.filter(pk__in=wanted) if len(wanted) < 500 else None
    lines = SaleLine.objects.all() if some is None else some
    of = {
        line.pk: line for line in as_now(lines.select_related("sale__customer", "lot"))
    }
    numbers = dict(Return.objects.values_list("movement_id", "number"))
    sold: dict[int, tuple[Decimal, Taxed | None]] = {}
    back: dict[int, tuple[Decimal, Taxed]] = {}
    found = []
    for row in entries:
        line = of[row.sale_line_id]
        if row.kind == KIND.SOLD:
            brought = line_taxed(line, -row.amount)
            sold[line.pk] = (-row.amount, brought)
            found.append(_row(row, line, line.sale.number, -row.amount, brought))
            continue
        whole, brought = sold[line.pk]
        amount, gone = back.get(line.pk, (ZERO, NOTHING))
        now = None if brought is None else brought.share(amount + row.amount, whole)
        part = None if now is None else gone.less(now)
        back[line.pk] = (amount + row.amount, now or NOTHING)
        number = numbers.get(row.root_id or row.pk, line.sale.number)
        found.append(_row(row, line, number, -row.amount, part, back=True))
    return found


def _row(
    row: Movement,
    line: SaleLine,
    number: str,
    amount: Decimal,
    brought: Taxed | None,
    *,
    back: bool = False,
) -> Revenue:
    sale = line.sale
    return Revenue(
        line=line.pk,
        called=str(line),
        sale=sale.pk,
        number=number,
        movement=row.pk,
        lot=row.lot.code,
        item=row.lot.item.name,
        unit=row.lot.item.unit,
        on=row.on,
        customer=sale.customer.name if sale.customer else "",
        channel=sale.channel,
        amount=amount,
        gross=brought.gross if brought else None,
        tax=brought.tax if brought else None,
        net=brought.net if brought else None,
        back=back,
    )


@dataclass(frozen=True, slots=True)
class Brought:
    """What rows come to; ``unpriced`` are the lines whose price is not known."""

    gross: Decimal
    tax: Decimal
    net: Decimal
    unpriced: int


def in_all(rows: Iterable[Revenue]) -> Brought:
    rows = list(rows)
    known = [
        Taxed(row.gross, row.tax)
        for row in rows
        if row.gross is not None and row.tax is not None
    ]
    return Brought(
        gross=sum((one.gross for one in known), ZERO),
        tax=sum((one.tax for one in known), ZERO),
        net=sum((one.net for one in known), ZERO),
        unpriced=len({row.line for row in rows if row.gross is None}),
    )


def last_tax() -> tuple[Decimal | None, str]:
    """The sales tax of the sale written last: what the next one begins with."""
    last = Sale.objects.standing().order_by("-pk").first()
    if last is None or last.tax_rate is None:
        return None, Sale.TaxIs.ON_TOP
    return last.tax_rate, last.tax_is
