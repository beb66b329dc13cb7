"""One lot walked through the book: what it cost, where it went, what is left."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from costing.domain.rollup.parts import (
    NANO,
    Parts,
    add,
    portion,
    thousandths,
    without_zeros,
)
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

FlowKind = Literal[
    "used",
    "sold",
    "returned",
    "given",
    "counted",
    "reweighed",
    "discarded",
    "sent back",
    "moved",
]
OUTFLOWS = {"used", "sold", "given", "discarded", "counted", "sent back"}


@dataclass(frozen=True, slots=True)
class Flow:
    """One movement of a lot after its start; amount signed as in the book.

    ``on`` is its day, where that is asked; ``why`` that of what was given.
    """

    id: int
    kind: FlowKind
    amount: Decimal
    batch: str | None = None
    sale: int | None = None
    on: date | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class LotNode:
    """A lot as the book has it; not ``known``: ``bought`` is only the known part.

    ``expected`` is what there would have been of it without an abnormal loss.
    ``began`` is the day on which it came or was made, where that is asked, and
    ``whole`` that on which the last of it came; ``spoilt`` says of the abnormal loss
    how much of it had which name, "" where nobody gave one.
    """

    code: str
    started: Decimal
    bought: Parts
    known: bool
    batch: str | None
    expected: Decimal | None
    flows: tuple[Flow, ...]
    opening: bool = False
    began: date | None = None
    whole: date | None = None
    spoilt: Mapping[str, Decimal] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Course:
    """Where a lot stands after its last flow: all that the next one is worked out from.

    ``last`` are the parts of ``last_amount`` of it that went last when it was emptied.
    """

    left: Parts
    amount: Decimal
    last: Parts
    last_amount: Decimal
    reweighed: bool = False
    unpriced: bool = False

    def rate(self, start: Parts, started: Decimal) -> tuple[Parts, Decimal]:
        """What the unit cost is read from: the start, until reweighing undoes it."""
        if not self.reweighed:
            return start, started
        if self.amount:
            return self.left, self.amount
        return self.last, self.last_amount


@dataclass(frozen=True, slots=True)
class Sold:
    """What one sale line took of a lot before, and what came back of it."""

    amount: Decimal
    parts: Parts
    returned: Decimal


@dataclass(frozen=True, slots=True)
class LotValue:
    """What a lot cost and where it went; all parts are nano, zero parts left out.

    ``taken`` is signed as a loss to the lot: a return or a surplus is negative.
    ``rate_parts`` on ``rate_amount`` is what the unit cost is read from. ``trial``: a
    trial made it and nobody promoted it, so what is left is development and no stock.
    """

    code: str
    total: Parts
    start: Parts
    abnormal: Parts
    left: Parts
    amount_left: Decimal
    rate_parts: Parts
    rate_amount: Decimal
    missing: frozenset[str]
    taken: Mapping[int, Parts]
    trial: bool = False
    course: Course = field(kw_only=True)

    @property
    def stock(self) -> Parts:
        """What is left of it as stock: nothing of a trial that was not promoted."""
        return {} if self.trial else self.left

    @property
    def unit_cost(self) -> Fraction | None:
        """Currency per gram or piece; None while a price is missing or none is made."""
        return None if self.missing else self.known_unit_cost

    @property
    def known_unit_cost(self) -> Fraction | None:
        """The part of the unit cost that is known: a lower bound, not a cost."""
        if not self.rate_amount:
            return None
        return Fraction(sum(self.rate_parts.values()), NANO) / Fraction(
            self.rate_amount
        )


def follow(
    node: LotNode,
    total: dict[str, int],
    missing: frozenset[str],
    trial: bool = False,
) -> LotValue:
    """Walk a lot's flows in book order; ``total`` is all that went into it."""
    started = thousandths(node.started)
    start = _start(total, started, node.expected)
    running = _Running(node.code, Course(start, node.started, start, node.started))
    for flow in node.flows:
        running.book(flow)
    course = running.course()
    rate_parts, rate_amount = course.rate(start, node.started)
    if course.unpriced:
        missing |= {node.code}
    return LotValue(
        code=node.code,
        total=without_zeros(total),
        start=without_zeros(start),
        abnormal=without_zeros(
            {name: nano - start[name] for name, nano in total.items()}
        ),
        left=course.left,
        amount_left=course.amount,
        rate_parts=without_zeros(rate_parts),
        rate_amount=rate_amount,
        missing=missing,
        taken={flow: without_zeros(parts) for flow, parts in running.taken.items()},
        trial=trial,
        course=course,
    )


def go_on(
    code: str, course: Course, sold: Mapping[int, Sold], flows: Iterable[Flow]
) -> tuple[Course, dict[int, Parts]]:
    """Walk flows that come after all others of a lot: its course then, and each cost.

    ``sold`` are the sale lines of which something comes back now.
    """
    running = _Running(code, course)
    for line, before in sold.items():
        running.sold[line] = _Sold(before)
    for flow in flows:
        running.book(flow)
    taken = {flow: without_zeros(parts) for flow, parts in running.taken.items()}
    return running.course(), taken


def _start(total: Parts, started: int, expected: Decimal | None) -> Parts:
    """What a lot starts with; short of the expected, the rest is abnormal loss."""
    wanted = thousandths(expected) if expected is not None else 0
    if wanted <= started:
        return total
    return {name: portion(nano, started, wanted) for name, nano in total.items()}


class _Running:
    """One lot while its flows are walked: what is left of it, and at what rate."""

    def __init__(self, code: str, course: Course) -> None:
        self.code = code
        self.left = dict(course.left)
        self.amount = thousandths(course.amount)
        self.last_rate = (course.last, thousandths(course.last_amount))
        self.reweighed = course.reweighed
        self.unpriced_surplus = course.unpriced
        self.sold: dict[int | None, _Sold] = {}
        self.taken: dict[int, Parts] = {}

    def book(self, flow: Flow) -> None:
        amount = thousandths(flow.amount)
        if flow.kind == "moved":
            return
        if flow.kind == "reweighed":
            self._reweigh(amount)
        elif flow.kind == "returned":
            self.taken[flow.id] = self._take_back(flow.sale, amount)
        elif flow.kind == "counted" and amount >= 0:
            self.taken[flow.id] = self._find(amount)
        elif flow.kind in OUTFLOWS:
            parts = self.taken[flow.id] = self._take(-amount)
            if flow.kind == "sold":
                self.sold.setdefault(flow.sale, _Sold()).add(-amount, parts)
        else:
            raise ValueError(f"unknown kind of flow: {flow.kind}")

    def _take(self, amount: int) -> Parts:
        if not 0 < amount <= self.amount:
            raise Refused(
                f"Lot {self.code} goes below zero in the book: correct the entry "
                f"that takes {plain(Decimal(amount) / 1000)} from it."
            )
        if amount == self.amount:
            # The last takes all, so that an empty lot is worth exactly nothing.
            parts: dict[str, int] = self.left
            self.last_rate = (parts, amount)
            self.left, self.amount = {}, 0
            return parts
        parts = {
            name: portion(nano, amount, self.amount) for name, nano in self.left.items()
        }
        self._lose(parts)
        self.amount -= amount
        return parts

    def _find(self, amount: int) -> Parts:
        """Count a surplus in at the current rate, or the last one of an empty lot."""
        parts, whole = (self.left, self.amount) if self.amount else self.last_rate
        if not whole:
            self.unpriced_surplus |= amount > 0
            gained: Parts = {}
        else:
            gained = {
                name: -portion(nano, amount, whole) for name, nano in parts.items()
            }
        self._lose(gained)
        self.amount += amount
        return gained

    def _take_back(self, sale: int | None, amount: int) -> Parts:
        sold = self.sold.get(sale)
        if sold is None or not 0 < amount <= sold.amount - sold.returned:
            raise Refused(
                f"More of lot {self.code} came back than was sold before: correct "
                "the return."
            )
        parts = sold.give_back(amount)
        self._lose(parts)
        self.amount += amount
        return parts

    def _reweigh(self, amount: int) -> None:
        if self.amount + amount <= 0:
            raise Refused(
                f"Reweighing leaves nothing of lot {self.code}: discard it instead."
            )
        self.amount += amount
        self.reweighed = True

    def _lose(self, parts: Parts) -> None:
        for name, nano in parts.items():
            self.left[name] = self.left.get(name, 0) - nano

    def course(self) -> Course:
        last, last_amount = self.last_rate
        return Course(
            left=without_zeros(self.left),
            amount=Decimal(self.amount) / 1000,
            last=without_zeros(last),
            last_amount=Decimal(last_amount) / 1000,
            reweighed=self.reweighed,
            unpriced=self.unpriced_surplus,
        )


class _Sold:
    """What one sale line took out of a lot, and how much of it came back."""

    def __init__(self, before: Sold = Sold(Decimal(0), {}, Decimal(0))) -> None:
        self.amount = thousandths(before.amount)
        self.parts = dict(before.parts)
        self.returned = thousandths(before.returned)
        self.back: dict[str, int] = self._share() if self.returned else {}

    def add(self, amount: int, parts: Parts) -> None:
        self.amount += amount
        add(self.parts, parts)

    def give_back(self, amount: int) -> Parts:
        """Minus what this return brings; returning everything brings all of it."""
        self.returned += amount
        before = self.back
        self.back = self._share()
        return {name: before.get(name, 0) - nano for name, nano in self.back.items()}

    def _share(self) -> dict[str, int]:
        return {
            name: portion(nano, self.returned, self.amount)
            for name, nano in self.parts.items()
        }
