"""What a recipe's materials would cost, before anything is made by it.

Each material at the latest price known of it; one that is not known makes the plan
unknown, and zero is never assumed. The work of the recipe is no part of it, since a
recipe names no hours; what was made here brings that of its last lot.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from production.quantities.domain.numbers import ONE, ZERO, money
from production.recipes.domain.scaling.chain import Stage, Target, solve
from production.recipes.domain.scaling.goods import Material, summed
from production.recipes.domain.scaling.plans import PER, FillingPlan
from production.yields.domain.losses import Loss


@dataclass(frozen=True, slots=True)
class Price:
    """Currency per gram or piece, and the lot that says so ("" is what is on tap).

    ``unit_cost`` None is unknown; ``lots`` then names those without a price, or none
    where there is no lot at all.
    """

    unit_cost: Fraction | None
    source: str = ""
    lots: tuple[str, ...] = ()


UNKNOWN = Price(None)


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """One material: how much of it for what is made, and what that costs.

    ``share`` is as the recipe words it, a fraction of the oils in a cook, else of what
    is mixed; None for what follows (alkali, water) or is counted for each piece.
    ``amount`` in grams or pieces, unrounded; ``cost`` to 4 places, None is unknown.
    """

    item: Material
    share: Decimal | None
    amount: Decimal
    price: Price

    @property
    def exact(self) -> Fraction | None:
        """The cost unrounded, in currency."""
        if self.price.unit_cost is None:
            return None
        return Fraction(self.amount) * self.price.unit_cost

    @property
    def cost(self) -> Decimal | None:
        """The cost to 4 places."""
        return None if self.exact is None else money(self.exact)


@dataclass(frozen=True, slots=True)
class PlannedCost:
    """The materials for 1,000 g made, or for one piece, line by line.

    ``oils`` is the grams of oils among them (a cook, else None). ``loss`` None: the
    recipe expects none, and the figures are for what is mixed.
    """

    lines: tuple[PlannedLine, ...]
    counted: bool
    loss: Decimal | None
    oils: Decimal | None = None

    @property
    def total(self) -> Decimal | None:
        """The sum of the lines as they are shown; None while one is unknown."""
        costs = [line.cost for line in self.lines]
        if None in costs:
            return None
        return sum((cost for cost in costs if cost is not None), ZERO)

    @property
    def per_oils(self) -> Decimal | None:
        """What 1,000 g of oils cost with their alkali, water and all; None unless a
        cook is wholly known.
        """
        costs = [line.exact for line in self.lines]
        if not self.oils or None in costs:
            return None
        whole = sum((cost for cost in costs if cost is not None), Fraction(0))
        return money(whole * Fraction(PER) / Fraction(self.oils))

    @property
    def missing(self) -> tuple[PlannedLine, ...]:
        """The lines whose price is not known."""
        return tuple(line for line in self.lines if line.price.unit_cost is None)


def plan_cost(
    stage: Stage, prices: Mapping[int, Price], water: Material
) -> PlannedCost:
    """Price a recipe for 1,000 g made, or for one piece; with the loss of the stage.

    ``prices`` by the key of the material. Refused where a cook cannot be worked out:
    no saponification value, purity or lye water.
    """
    plan, loss = stage.plan, stage.loss
    one = replace(stage, loss=loss or Loss(ZERO, ""))
    counted = isinstance(plan, FillingPlan)
    planned = solve(one, Target(ONE if counted else PER), water)
    lines = tuple(
        PlannedLine(
            item=need.item,
            share=plan.share_of(need.item),
            amount=need.amount,
            price=prices.get(need.item.key, UNKNOWN),
        )
        for need in summed(planned.goes_in)
    )
    return PlannedCost(lines, counted, loss.share if loss else None, planned.oils)


@dataclass(frozen=True, slots=True)
class Beside:
    """One material in two plans; a side is None where it is not in it."""

    item: Material
    a: PlannedLine | None
    b: PlannedLine | None

    @property
    def source(self) -> str:
        """The lot whose cost counts; "" on tap, or where there is none."""
        line = self.a or self.b
        return line.price.source if line else ""

    @property
    def difference(self) -> Decimal | None:
        """From the first to the second; what is not in a plan costs nothing there."""
        return less(_cost_of(self.b), _cost_of(self.a))


def beside(a: PlannedCost, b: PlannedCost) -> tuple[Beside, ...]:
    """Two plans line by line, in the order of the first, then of the second."""
    left = {line.item.key: line for line in a.lines}
    right = {line.item.key: line for line in b.lines}
    items = {key: line.item for key, line in {**right, **left}.items()}
    return tuple(
        Beside(items[key], left.get(key), right.get(key))
        for key in dict.fromkeys([*left, *right])
    )


def less(b: Decimal | None, a: Decimal | None) -> Decimal | None:
    """``b - a``; None where one is unknown."""
    return None if a is None or b is None else b - a


def _cost_of(line: PlannedLine | None) -> Decimal | None:
    return ZERO if line is None else line.cost
