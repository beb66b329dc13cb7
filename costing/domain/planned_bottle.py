"""What one piece of a plan would cost: the plan rolled up as if it had been made.

The planner says what is weighed; each amount is bought at the price chosen for it and
goes through the same roll-up as the book, so that a batch made as planned costs what
was planned. An unknown price leaves the cost unknown, with what is known as "at least".
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Literal

from costing.domain.figures import unit_parts, whole_nano
from costing.domain.rollup import (
    BatchNode,
    Flow,
    LotNode,
    Parts,
    Valuation,
    roll_up,
    sources,
)
from production.chemistry.domain.constants import EXACT
from production.quantities.domain.numbers import ONE, ZERO
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.chain import Chain, Target
from production.recipes.domain.scaling.goods import Material
from production.recipes.domain.scaling.work_out import Facts, Plan, work_out

# Where a price comes from: the book, a quote, the card of what is on tap, the rate.
Whence = Literal["last", "stock", "quote", "tap", "typed", "none"]
Unit = Literal["g", "piece", "min", "batch"]
# What a price is said for: 1,000 g, a piece, an hour, a batch.
PER: Mapping[str, int] = {"g": 1000, "piece": 1, "min": 60, "batch": 1}

# Components that are no goods. A plan has no rent and no insurance: the rates of the
# workshop add overhead to a batch that was made.
BESIDE_GOODS = ("labour", "energy", "overhead")


@dataclass(frozen=True, slots=True)
class PriceKnown:
    """Currency per gram, piece, minute or batch, and where that is known from.

    ``unit_cost`` None is unknown; ``lots`` then names those in the book that wait for
    a price. ``on`` is the day of the lot ``source``.
    """

    unit_cost: Fraction | None
    whence: Whence = "none"
    on: date | None = None
    source: str = ""
    lots: tuple[str, ...] = ()


UNPRICED = PriceKnown(None)


@dataclass(frozen=True, slots=True)
class Good:
    """A material that is bought for the plan: its component of cost, and its price."""

    component: str
    price: PriceKnown = UNPRICED


@dataclass(frozen=True, slots=True)
class Effort:
    """Minutes that a batch takes however large, and those of each piece.

    ``rate`` is currency per hour, ``energy`` currency per batch; None is not known.
    No minutes at all leave work out of the plan.
    """

    batch: Decimal = ZERO
    piece: Decimal = ZERO
    rate: Decimal | None = None
    energy: Decimal | None = None

    def minutes(self, pieces: Decimal) -> Decimal:
        """Of a batch of so many pieces."""
        with localcontext(EXACT):
            return self.batch + self.piece * pieces


@dataclass(frozen=True, slots=True)
class BottleLine:
    """One line of the plan; ``amount`` is of the whole batch, in ``unit``.

    ``cost`` is nano of one piece, None while the price is not known. ``key`` is that
    of the material, None for work and energy.
    """

    name: str
    key: int | None
    component: str
    amount: Decimal
    unit: Unit
    price: PriceKnown
    cost: int | None

    @property
    def per(self) -> Decimal | None:
        """The price of 1,000 g, a piece, an hour or a batch, for people."""
        cost = self.price.unit_cost
        if cost is None:
            return None
        whole = cost * PER[self.unit]
        return Decimal(whole.numerator) / whole.denominator

    def of_a_piece(self, pieces: Decimal) -> Fraction:
        """What one piece takes of it, unrounded."""
        return Fraction(self.amount) / Fraction(pieces)


@dataclass(frozen=True, slots=True)
class PlannedBottle:
    """What one of so many pieces would cost; ``known`` is the part that is known of it.

    ``parts`` by component and the costs of the lines are whole nano (1e-9 of the
    currency) and add up to ``at_least``. Where what is made is weighed, ``pieces`` are
    grams.
    """

    made: Material
    pieces: Decimal
    lines: tuple[BottleLine, ...]
    parts: Parts
    known: Fraction
    plan: Plan = field(repr=False)

    @property
    def missing(self) -> tuple[BottleLine, ...]:
        """The lines whose price is not known."""
        return tuple(line for line in self.lines if line.cost is None)

    @property
    def unit_cost(self) -> Fraction | None:
        """Currency per piece, unrounded; None while a price is missing."""
        return None if self.missing else self.known

    @property
    def at_least(self) -> int:
        """What is known of it, in whole nano: the cost where nothing is missing."""
        return whole_nano(self.known)

    @property
    def without_work(self) -> bool:
        """Whether no minutes are in it."""
        return all(line.unit != "min" for line in self.lines)

    @property
    def left_out(self) -> tuple[str, ...]:
        """The components that nobody said anything of: unknown, and not nothing."""
        there = {line.component for line in self.lines}
        return tuple(part for part in BESIDE_GOODS if part not in there)

    @property
    def unknown_parts(self) -> frozenset[str]:
        """The components of which a line has no price."""
        return frozenset(line.component for line in self.missing)


def planned_cost_of(
    chain: Chain,
    top: int,
    pieces: Decimal,
    facts: Facts,
    goods: Mapping[int, Good],
    effort: Effort,
) -> PlannedBottle:
    """Plan so much of what the stage ``top`` makes, and roll its cost up.

    ``goods`` by the key of the material. Refused as the planner refuses: a loss, a
    purity or a soap content that nobody said.
    """
    plan = work_out(chain, {top: Target(pieces)}, facts)
    book = _Book(goods)
    for place, row in enumerate(plan.stages):
        book.stage(f"stage {place}", row.plan.stage.makes, row.comes_out)
        for taken in row.taken:
            book.take(taken.need.item, taken.need.amount, taken.made_above)
    made = plan.stage(top).plan.stage.makes
    book.work(effort, pieces if made.counted else ONE)
    return book.bottle(made, plan)


@dataclass(slots=True)
class _Bought:
    """What is bought of one thing, and where it goes."""

    name: str
    key: int | None
    unit: Unit
    good: Good
    amount: Decimal = ZERO
    flows: list[Flow] = field(default_factory=list)

    def node(self, code: str) -> LotNode:
        cost = self.good.price.unit_cost
        nano = 0 if cost is None else whole_nano(cost * Fraction(self.amount))
        if self.unit in ("g", "piece"):
            started, flows = self.amount, self.flows
        else:  # minutes are no thousandths: all of it goes at once
            started, flows = ONE, self.flows[:1]
        return LotNode(
            code=code,
            started=started,
            bought={self.good.component: nano} if nano else {},
            known=cost is not None,
            batch=None,
            expected=started,
            flows=tuple(flows),
        )


class _Book:
    """The plan as lots and batches, in the order of the work."""

    def __init__(self, goods: Mapping[int, Good]) -> None:
        self.goods = goods
        self.bought: dict[str, _Bought] = {}
        self.made: dict[int, str] = {}
        self.outs: dict[str, Decimal] = {}
        self.flows: dict[str, list[Flow]] = {}
        self.now, self.last = "", 0

    def stage(self, code: str, makes: Material, out: Decimal | None) -> None:
        if out is None or out <= 0:
            raise Refused(
                f"Nothing would come out of the stage that makes {makes.name}: check "
                "its loss and its amounts."
            )
        self.now = code
        self.made[makes.key] = code
        self.outs[code] = out
        self.flows[code] = []

    def take(self, item: Material, amount: Decimal, made_above: Decimal) -> None:
        if made_above:
            self.flows[self.made[item.key]].append(self._flow(made_above))
        if rest := amount - made_above:
            self._buy(f"good {item.key}", item, rest)

    def _buy(self, code: str, item: Material, amount: Decimal) -> None:
        unit: Unit = "piece" if item.counted else "g"
        good = self.goods.get(item.key, Good("material"))
        if code not in self.bought:
            self.bought[code] = _Bought(item.name, item.key, unit, good)
        one = self.bought[code]
        one.amount += amount
        one.flows.append(self._flow(amount))

    def _flow(self, amount: Decimal) -> Flow:
        self.last += 1
        return Flow(self.last, "used", -amount, f"batch {self.now}")

    def work(self, effort: Effort, pieces: Decimal) -> None:
        """All of it in the last stage, so that what is left of the others has none."""
        if minutes := effort.minutes(pieces):
            cost = None if effort.rate is None else Fraction(effort.rate) / 60
            price = PriceKnown(cost, "none" if cost is None else "typed")
            self._once("Work", "min", "labour", minutes, price)
        if effort.energy is not None:
            price = PriceKnown(Fraction(effort.energy), "typed")
            self._once("Energy", "batch", "energy", ONE, price)

    def _once(
        self, name: str, unit: Unit, part: str, amount: Decimal, price: PriceKnown
    ) -> None:
        one = _Bought(name, None, unit, Good(part, price), amount, [self._flow(ONE)])
        self.bought[part] = one

    def bottle(self, made: Material, plan: Plan) -> PlannedBottle:
        nodes = [one.node(code) for code, one in self.bought.items()]
        nodes += [self._made(code, out) for code, out in self.outs.items()]
        batches = [BatchNode(f"batch {code}", {}, code) for code in self.outs]
        rolled = roll_up(nodes, batches)
        value = rolled.lots[self.now]
        cost = value.known_unit_cost or Fraction(0)
        return PlannedBottle(
            made=made,
            pieces=self.outs[self.now],
            lines=self._lines(nodes, batches, rolled),
            parts=unit_parts(value.rate_parts, cost),
            known=cost,
            plan=plan,
        )

    def _made(self, code: str, out: Decimal) -> LotNode:
        flows = tuple(self.flows[code])
        return LotNode(code, out, {}, True, f"batch {code}", out, flows)

    def _lines(
        self, nodes: list[LotNode], batches: list[BatchNode], rolled: Valuation
    ) -> tuple[BottleLine, ...]:
        costs: dict[str, int] = {}
        for source in sources(self.now, nodes, batches, rolled):
            costs[source.code] = costs.get(source.code, 0) + source.nano
        return tuple(
            BottleLine(
                name=one.name,
                key=one.key,
                component=one.good.component,
                amount=one.amount,
                unit=one.unit,
                price=one.good.price,
                cost=None if one.good.price.unit_cost is None else costs.get(code, 0),
            )
            for code, one in self.bought.items()
        )
