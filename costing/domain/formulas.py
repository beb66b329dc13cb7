"""Cost formulas for interchangeable goods, as the accountant's views (IAS 2.25-27).

Views only: a lot's own cost is always the rolled-up one. Value is whole nano, as in
the roll-up; each view gives out exactly what came in. LIFO is not offered, since
IAS 2.25 permits first in, first out and weighted average alone.
"""

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from costing.domain.rollup import portion, thousandths
from production.domain.numbers import share_units
from production.domain.refusal import Refused


@dataclass(frozen=True, slots=True)
class Receipt:
    """Goods that came in (opening stock too): grams or pieces above 0, their nano."""

    amount: Decimal
    nano: int


@dataclass(frozen=True, slots=True)
class Issue:
    """Goods that went out: grams or pieces above 0."""

    amount: Decimal


@dataclass(frozen=True, slots=True)
class View:
    """What each issue cost, in order, and what is left, all in nano."""

    issued: tuple[int, ...]
    left: int


def first_in_first_out(events: Iterable[Receipt | Issue]) -> View:
    """Issue the oldest layers first; the same per period and perpetually."""
    layers: deque[tuple[int, int]] = deque()
    issued: list[int] = []
    for event in events:
        amount = thousandths(event.amount)
        if isinstance(event, Receipt):
            layers.append((amount, event.nano))
            continue
        cost = 0
        while amount:
            if not layers:
                raise _too_much(event)
            there, nano = layers.popleft()
            out = min(amount, there)
            part = portion(nano, out, there)
            if out < there:
                layers.appendleft((there - out, nano - part))
            cost += part
            amount -= out
        issued.append(cost)
    return View(tuple(issued), sum(nano for _, nano in layers))


def moving_average(events: Iterable[Receipt | Issue]) -> View:
    """Issue at the average of what is there at that moment (IAS 2.27)."""
    there = nano = 0
    issued: list[int] = []
    for event in events:
        amount = thousandths(event.amount)
        if isinstance(event, Receipt):
            there, nano = there + amount, nano + event.nano
            continue
        if amount > there:
            raise _too_much(event)
        cost = portion(nano, amount, there)
        issued.append(cost)
        there, nano = there - amount, nano - cost
    return View(tuple(issued), nano)


def period_average(events: Iterable[Receipt | Issue]) -> View:
    """Issue all at one average of the whole period, later receipts too (IAS 2.27)."""
    events = list(events)
    receipts = [event for event in events if isinstance(event, Receipt)]
    issues = [event for event in events if isinstance(event, Issue)]
    nano = sum(receipt.nano for receipt in receipts)
    out = [thousandths(issue.amount) for issue in issues]
    left = sum(thousandths(receipt.amount) for receipt in receipts) - sum(out)
    if left < 0:
        raise _too_much(issues[-1])
    if not receipts:
        return View((), nano)
    *issued, rest = share_units(nano, [*out, left])
    return View(tuple(issued), rest)


def _too_much(issue: Issue) -> Refused:
    return Refused(
        f"{issue.amount} went out, more than had come in: correct the receipts or "
        "the issue."
    )


VIEWS: Mapping[str, Callable[[Iterable[Receipt | Issue]], View]] = {
    "first in, first out": first_in_first_out,
    "moving average": moving_average,
    "average of the period": period_average,
}
