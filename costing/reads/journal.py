"""The journal of a period: what happened to the goods, and to the money.

Each month begins from what the books said of the day before, and ends at what they say
of its last day. What earlier entries are worth by then (a late bill, a batch that was
not finished) is an entry of its own, and so are sales of closed months put
right. By the lots that were really taken.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from costing.domain.accounts import PURCHASES
from costing.domain.books import Figures
from costing.domain.journal import Booked, Posting, journal, sums
from costing.domain.rollup import NANO
from costing.reads.books import ToDate, allowed, to_date
from costing.reads.on_date import OnDay
from costing.reads.postings import value_postings
from costing.reads.revenue import revenue
from production.buying.reads.owed import bill_payments, billed, credited, owed_of
from production.models import Movement
from production.quantities.domain.refusal import Refused
from production.record.domain.months import ended_between
from production.selling.reads.deposits import deposit_moves
from production.selling.reads.payments import paid_of, sale_payments
from production.selling.reads.revenue import sale_revenues

DAY = timedelta(days=1)


def journal_between(start: date | None, through: date) -> list[Booked]:
    """Every entry from ``start`` (None: the beginning) through a day, in cents.

    Refused while a price is missing: a journal without it would be wrong.
    """
    allowed("lots")
    after = None if start is None else start - DAY
    _refuse_what_is_missing(after, through)
    money = _money(after, through)
    before = _day(after) if after else None
    months = []
    for last in _months(after, through):
        now = _day(last)
        found = _of_month(before, now)
        found += [
            one
            for one in money
            if one.on <= last and (before is None or one.on > before.day)
        ]
        months.append((last, found))
        before = now
    return journal(months)


def _refuse_what_is_missing(after: date | None, through: date) -> None:
    end = to_date(through, "lots")
    lots = ", ".join(end.missing[:10])
    if lots:
        raise Refused(
            f"A journal needs every price, and these lots have none: {lots}. Write "
            "their prices first."
        )
    lines = [line for line, on in end.unpriced if after is None or on > after]
    if lines:
        raise Refused(
            f"A journal needs every price, and nobody priced {', '.join(lines[:10])}. "
            "Write the prices of the sale first; 0 where nothing was asked."
        )


def _months(after: date | None, through: date) -> list[date]:
    """The last days of the months in the period, and its own last day."""
    first = after
    if first is None:
        first = _first_day(through) - DAY
    return [*(day for day in ended_between(first, through)), through]


def _first_day(through: date) -> date:
    rows = Movement.objects.filter(on__lte=through).order_by("on")
    return rows.values_list("on", flat=True).first() or through


@dataclass(frozen=True, slots=True)
class _AtEnd:
    """The end of a day: its entries at their value then, and what the books add."""

    day: date
    postings: list[Posting]
    beyond: Counter[str]
    sales: Counter[str]


def _day(day: date) -> _AtEnd:
    found = to_date(day, "lots")
    assert isinstance(found.view, OnDay)
    postings = value_postings(found.view)
    return _AtEnd(day, postings, _beyond(found, sums(postings)), _sales_beyond(found))


def _sales_beyond(found: ToDate) -> Counter[str]:
    """Sales in the books of the day, less what they come to as known now."""
    brought = revenue(found.view.day)
    net = found.figures.revenue - brought.nano
    tax = found.figures.sales_tax - brought.tax
    return Counter({"receivable": net + tax, "sales": -net, "sales_tax": -tax})


def _beyond(found: ToDate, now: Counter[str]) -> Counter[str]:
    """What the books of the day have, less what their entries come to now.

    Nothing, but where a month was closed: it counts as it was frozen.
    """
    back = found.view.totals.sent_back
    if found.closed is not None:
        back = found.closed.to_date.get("sent_back", 0)
    told = as_accounts(found.figures, _by_kind(found), back)
    seen: Counter[str] = Counter()
    for account, nano in now.items():
        seen["payable" if account in PURCHASES else account] += nano
    names = {*told, *seen}
    return Counter({name: told[name] - seen[name] for name in names})


def _by_kind(found: ToDate) -> Counter[str]:
    kinds: Counter[str] = Counter()
    for row in found.stock():
        kinds[row.kind or "material"] += row.value or 0
    return kinds


def as_accounts(figures: Figures, kinds: Counter[str], sent_back: int) -> Counter[str]:
    """The figures of the books on their accounts, debits above zero.

    ``purchases`` are less what suppliers got back, ``sent_back``: both are shown.
    """
    late = figures.late.sold + figures.late.lost
    return Counter(
        {f"stock_{kind}": nano for kind, nano in kinds.items()}
        | {f"making_{kind}": -nano for kind, nano in figures.making.items()}
        | dict(figures.losses)
        | {
            "work_in_progress": figures.work_in_progress,
            "payable": -figures.purchases - sent_back,
            "supplier_credits": sent_back,
            "opening": -figures.opening,
            "cost_of_goods_sold": figures.cost_of_goods_sold,
            "drawings": figures.drawings,
            "late_bills": late,
        }
    )


def _of_month(before: _AtEnd | None, now: _AtEnd) -> list[Posting]:
    if before is None:
        rest, found = Counter(now.beyond), list(now.postings)
    else:
        found = [one for one in now.postings if one.on > before.day]
        earlier = sums(one for one in now.postings if one.on <= before.day)
        rest = Counter(earlier)
        rest.subtract(sums(before.postings))
        rest.update(now.beyond)
        rest.subtract(before.beyond)
    lines = {account: nano for account, nano in rest.items() if nano}
    if lines:
        text = "Earlier entries at what is known of them now, late bills too"
        document = f"month {now.day:%Y-%m}"
        found.append(Posting(now.day, document, text, lines))
    return [*found, *_sales_learnt(before, now)]


def _sales_learnt(before: _AtEnd | None, now: _AtEnd) -> Iterator[Posting]:
    """What was put right of the sales of a closed month, out of it and into this."""
    rest = Counter(now.sales)
    rest.subtract(before.sales if before else {})
    if lines := {account: nano for account, nano in rest.items() if nano}:
        text = "Sales as they were closed, and what was learnt of closed months"
        yield Posting(now.day, f"sales of {now.day:%Y-%m}", text, lines)


# -- money


def _nano(value: Decimal) -> int:
    return int(value * NANO)


def _money(after: date | None, through: date) -> list[Posting]:
    """Sales, taxes, what is not stocked, credits and payments, on their days."""
    found = [*_of_sales(after, through), *_of_bills(), *_of_credits()]
    found += [*_of_deposits(), *_of_payments(after, through)]
    return [
        one for one in found if one.on <= through and (after is None or one.on > after)
    ]


def _of_sales(after: date | None, through: date) -> Iterator[Posting]:
    for row in sale_revenues(after, through):
        if row.gross is None or row.net is None or row.tax is None:
            continue
        who = row.customer or row.channel
        yield Posting(
            row.on,
            f"return {row.number}" if row.back else f"sale {row.number}",
            f"{'back from' if row.back else 'sold to'} {who}",
            {
                "receivable": _nano(row.gross),
                "sales": -_nano(row.net),
                "sales_tax": -_nano(row.tax),
            },
        )


def _of_deposits() -> Iterator[Posting]:
    """Money that is owed for bottles: no sale, and a debt until they come back."""
    for one in deposit_moves():
        nano = _nano(one.money)
        if one.empty:
            document, text = f"empties {one.paper}", f"deposit paid back to {one.who}"
            lines = {"deposits": nano, "bank": -nano}
        else:
            document, text = f"sale {one.paper}", f"deposit of {one.who}"
            lines = {"receivable": nano, "deposits": -nano}
        yield Posting(one.on, document, text, lines)


def _of_bills() -> Iterator[Posting]:
    """Tax that comes back, and lines that bring nothing into stock."""
    rows = billed()
    stocked = {
        row.purchase.pk
        for row in rows
        if row.line is not None and row.line.item_id is not None
    }
    for row in rows:
        document = f"purchase {row.purchase.number}"
        text = f"{row.what} from {row.purchase.supplier}"
        if tax := _nano(row.recoverable_tax or Decimal(0)):
            lines = {"recoverable_tax": tax, "payable": -tax}
            yield Posting(row.on, document, f"tax on {text}", lines)
        in_no_lot = (
            row.line is not None and row.line.item_id is None
        ) or row.purchase.pk not in stocked
        if in_no_lot and row.price is not None:
            nano = _nano(row.price + (row.tax or Decimal(0)))
            yield Posting(
                row.on, document, text, {"not_stocked": nano, "payable": -nano}
            )


def _of_credits() -> Iterator[Posting]:
    for one in credited():
        if one.row is None:
            continue
        paper = one.purchase
        yield Posting(
            one.row.deed.on,
            f"credit {one.row.note or one.movement.lot.code}",
            f"{one.movement.lot.item} sent back"
            + (f" to {paper.supplier}" if paper else ""),
            {
                "payable": _nano(one.total),
                "supplier_credits": -_nano(one.row.credit),
                "recoverable_tax": -_nano(one.row.recoverable_tax),
            },
        )


def _of_payments(after: date | None, through: date) -> Iterator[Posting]:
    bills = bill_payments(after, through)
    for row in bills:
        nano = _nano(row.amount)
        yield Posting(
            row.deed.on,
            f"purchase {row.purchase.number}",
            f"paid to {row.purchase.supplier}",
            {"payable": nano, "bank": -nano},
        )
    for one in owed_of({row.purchase: None for row in bills if row.settles}):
        if one.settled and (rest := _nano(one.given_up or Decimal(0))):
            lines = {"payable": rest, "payment_differences": -rest}
            document = f"purchase {one.purchase.number}"
            yield Posting(one.settled, document, "settled", lines)
    sales = sale_payments(after, through)
    for paid in sales:
        nano = _nano(paid.amount)
        who = paid.sale.customer or paid.sale.channel
        yield Posting(
            paid.deed.on,
            f"sale {paid.sale.number}",
            f"paid by {who}",
            {"bank": nano, "receivable": -nano},
        )
    for sold in paid_of({paid.sale: None for paid in sales if paid.settles}):
        if sold.settled and (rest := _nano(sold.given_up or Decimal(0))):
            lines = {"payment_differences": rest, "receivable": -rest}
            document = f"sale {sold.sale.number}"
            yield Posting(sold.settled, document, "settled", lines)
