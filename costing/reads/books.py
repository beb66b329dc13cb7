"""The books of a day and of a period: the one entry for page, command and file."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from costing.domain.books import (
    METHODS,
    Books,
    Figures,
    Held,
    Method,
    after_closing,
    between,
    the_same,
)
from costing.domain.redraw import POOL
from costing.domain.statement import Statement
from costing.reads.closed import last_frozen, next_frozen
from costing.reads.figures import View, figures_of, view_of
from costing.reads.redrawn import RedrawnDay, item_of
from costing.reads.revenue import revenue
from production.buying.reads.bills import in_sentences, why_unknown
from production.models import Lot, Workshop
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today

DAY = timedelta(days=1)
LEARNT = "learnt since the day was closed"


def books_on(day: date, method: Method = "lots") -> Books:
    """The books since they began, as the last entry of that day leaves them.

    A closed day counts as it was frozen, any other at what is known today. Refused for
    a day that is still to come and for a formula that IAS 2.25 does not know.
    """
    return _books(None, day, method)


def books_between(start: date | None, through: date, method: Method = "lots") -> Books:
    """The books of the days from ``start`` (None: the beginning) through another."""
    if start is None:
        return _books(None, through, method)
    if start > through:
        raise Refused(
            f"The period begins on {start}, after it ends on {through}: write the "
            "earlier day first."
        )
    return _books(start - DAY, through, method)


def _books(after: date | None, through: date, method: Method) -> Books:
    allowed(method)
    if through > today():
        raise Refused(f"{through} is still to come: choose a day through {today()}.")
    end = to_date(through, method)
    figures, held = end.figures, 0
    if after is not None:
        start = to_date(after, method).figures
        figures, held = between(end.figures, start), start.held
    workshop = Workshop.objects.first()
    return Books(
        method=method,
        currency=workshop.currency if workshop else "USD",
        after=after,
        through=through,
        figures=figures,
        held_before=held,
        stock=end.stock(),
        missing=end.missing,
        asks=end.asks,
        unpriced=tuple(
            line for line, on in end.unpriced if after is None or on > after
        ),
        frozen=end.frozen,
    )


def allowed(method: str) -> None:
    """Refuses what is no formula of these books."""
    if method == "lifo":
        raise Refused(
            "Last in, first out is not among the formulas of IAS 2.25: choose fifo or "
            "average, or lots for what was really taken."
        )
    if method not in METHODS:
        raise Refused(
            f"{method} is no way to value stock here: choose lots, fifo or average."
        )


@dataclass(frozen=True, slots=True)
class ToDate:
    """The books since they began, through a day; ``frozen`` is the last closed day.

    ``closed`` is the statement of the day itself, where it was closed.
    """

    figures: Figures
    view: View
    closed: Statement | None
    frozen: date | None
    method: Method

    @property
    def missing(self) -> tuple[str, ...]:
        """Codes of the lots that have no price."""
        told = self.closed
        return tuple(sorted(self.view.missing)) if told is None else told.missing_lots

    @property
    def asks(self) -> tuple[str, ...]:
        """The same in sentences."""
        if self.closed is not None:
            return self.closed.missing
        return tuple(in_sentences(why_unknown(self.view.missing)))

    @property
    def unpriced(self) -> tuple[tuple[str, date], ...]:
        """Lines of sales without a price, each with its day."""
        told = self.closed
        if told is not None and told.books_to_date:
            return tuple((line, date.fromisoformat(on)) for line, on in told.unpriced)
        return revenue(self.view.day).unpriced

    def stock(self) -> tuple[Held, ...]:
        """What was left, by item, with its value."""
        if self.closed is not None and self.method == "lots":
            return _as_frozen(self.closed)
        rows = stock_of(self.view)
        learnt = self.figures.stock - sum(row.value or 0 for row in rows)
        if learnt and self.closed is not None:
            rows += (Held("", LEARNT, "", Decimal(0), "", learnt),)
        return rows


def to_date(day: date, method: Method) -> ToDate:
    """Closed months count as they were frozen, the days since as known now.

    Refused for a day amid closed ones of which something was learnt since: no figure
    was frozen of that day, and today's would not go with those that were.
    """
    view = view_of(day, method)
    now = figures_of(view)
    closing = last_frozen(day)
    if now.begun and (closing is None or closing.through != day):
        _refuse_amid(day, method)
    if closing is None:
        return ToDate(now, view, None, None, method)
    if closing.through == day:
        told = closing.figures(method, now)
        return ToDate(told, view, closing.statement, day, method)
    then = figures_of(view_of(closing.through, method))
    told = after_closing(now, then, closing.figures(method, then))
    return ToDate(told, view, None, closing.through, method)


def _refuse_amid(day: date, method: Method) -> None:
    closing = next_frozen(day)
    if closing is None:
        return
    then = figures_of(view_of(closing.through, method))
    if not the_same(then, closing.figures(method, then)):
        last = last_frozen(day)
        ends = f"{last.through} or {closing.through}" if last else f"{closing.through}"
        raise Refused(
            f"{day} is within days that were closed through {closing.through}, and "
            "something was learnt of them since: only the end of what was closed has "
            f"its figures. Choose {ends}, or a day after it; a period begins the day "
            "after one of them."
        )


def stock_of(view: View) -> tuple[Held, ...]:
    """What was left at the end of a day, as known now."""
    pools = item_of(view.redrawn) if isinstance(view, RedrawnDay) else {}
    found = view.lots()
    codes = {pools.get(one.code, one.code) for one in found}
    lots = {
        lot.code: lot
        for lot in Lot.objects.filter(code__in=codes).select_related("item")
    }
    rows = []
    for one in found:
        item = lots[pools.get(one.code, one.code)].item
        rows.append(
            Held(
                lot="" if one.code.startswith(POOL) else one.code,
                item=item.name,
                kind=item.kind,
                amount=one.amount,
                unit=item.unit,
                value=sum(one.parts.values()) if one.known else None,
            )
        )
    return tuple(sorted(rows, key=lambda row: row.item))


def _as_frozen(told: Statement) -> tuple[Held, ...]:
    """The stock of a closed day as its statement lists it."""
    codes = [row.code for row in told.stock]
    kinds = dict(Lot.objects.filter(code__in=codes).values_list("code", "item__kind"))
    return tuple(
        Held(
            lot=row.code,
            item=row.name,
            kind=kinds.get(row.code, ""),
            amount=Decimal(row.amount),
            unit=row.unit,
            value=row.value,
        )
        for row in told.stock
    )
