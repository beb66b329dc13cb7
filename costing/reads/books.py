"""The books of a day and of a period: the one entry for page, command and file."""

from datetime import date, timedelta

from costing.domain.books import (
    METHODS,
    Books,
    Figures,
    Held,
    Method,
    after_closing,
    between,
)
from costing.domain.redraw import POOL
from costing.reads.closed import last_frozen
from costing.reads.figures import View, figures_of, view_of
from costing.reads.redrawn import RedrawnDay, item_of
from costing.reads.revenue import revenue
from production.buying.reads.bills import in_sentences, why_unknown
from production.models import Lot, Workshop
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today

DAY = timedelta(days=1)


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
    view = view_of(through, method)
    end, frozen = _to_date(view, method)
    missing, held, figures = view.missing, 0, end
    if after is not None:
        earlier = view_of(after, method)
        start, _ = _to_date(earlier, method)
        figures, held = between(end, start), start.held
        missing |= earlier.missing
    sold = revenue(through, after)
    workshop = Workshop.objects.first()
    return Books(
        method=method,
        currency=workshop.currency if workshop else "USD",
        after=after,
        through=through,
        figures=figures,
        held_before=held,
        stock=_stock(view),
        missing=tuple(sorted(missing)),
        asks=tuple(in_sentences(why_unknown(missing))),
        unpriced=tuple(str(line) for line in sold.unpriced),
        frozen=frozen,
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


def _to_date(view: View, method: Method) -> tuple[Figures, date | None]:
    """The figures since the book began, closed months as they were frozen."""
    now = figures_of(view)
    closing = last_frozen(view.day)
    if closing is None:
        return now, None
    if closing.through == view.day:
        return closing.figures(method, now), closing.through
    then = figures_of(view_of(closing.through, method))
    return after_closing(now, then, closing.figures(method, then)), closing.through


def _stock(view: View) -> tuple[Held, ...]:
    """What was left, by item, with its value."""
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
