"""A making planned from what is wanted: stages, lots, what to buy, the first day."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.domain.numbers import ZERO
from production.domain.scaling import (
    Chain,
    ChainPlan,
    CookPlan,
    FirstDay,
    Need,
    Short,
    StagePlan,
    first_day,
    longest_wait,
    shortage,
)
from production.models import Item
from production.reads.proposals import Share, Shelf


@dataclass(frozen=True, slots=True)
class Taken:
    """One need of a stage, the lots it would come from, and what made it or is short.

    ``made_above`` is how much of it an earlier stage of the plan makes.
    """

    need: Need
    shares: tuple[Share, ...]
    made_above: Decimal
    short: Decimal


@dataclass(frozen=True, slots=True)
class PlannedStage:
    """A stage in the order of the work."""

    plan: StagePlan
    taken: tuple[Taken, ...]

    @property
    def is_cook(self) -> bool:
        """Whether lye is weighed in it."""
        return isinstance(self.plan.stage.plan, CookPlan)


@dataclass(frozen=True, slots=True)
class Making:
    """Stages from the kettle to the bottles, what is short, and when it can be sold."""

    stages: tuple[PlannedStage, ...]
    buy: tuple[Short, ...]
    first_day: FirstDay


def stock_of(chain: Chain, on: date) -> Shelf:
    """What stands ready of everything that the chain takes or makes; four queries."""
    keys = {item.key for stage in chain.stages for item in stage.plan.takes}
    keys |= {stage.makes.key for stage in chain.stages} | {chain.water.key}
    keys |= {
        lye.item.key
        for stage in chain.stages
        if isinstance(stage.plan, CookPlan)
        for lye in stage.plan.lyes
    }
    return Shelf(keys - {0}, on)


def planned(
    chain: Chain,
    plan: ChainPlan,
    shelf: Shelf,
    on: date,
    *,
    ready: bool,
    alkali_lots: Mapping[int, str],
) -> Making:
    """Lots to every need, in the order of the work. No query of its own.

    ``ready`` says that what stands ready of things made here is used first;
    ``alkali_lots`` is the tub chosen of each alkali, by the key of its item.
    """
    makes = {stage.stage.makes.key for stage in plan.stages}
    on_hand = dict(shelf.on_hand())
    stages, made = [], dict.fromkeys(makes, ZERO)
    for stage in reversed(plan.stages):
        taken = tuple(
            _taken(need, shelf, made, ready=ready, tubs=alkali_lots)
            for need in stage.goes_in
        )
        made[stage.stage.makes.key] += stage.comes_out
        stages.append(PlannedStage(stage, taken))
    bought = [need for need in plan.needs if need.item.key not in makes]
    there = {need.item.key: on_hand.get(need.item.key, ZERO) for need in bought}
    buy = tuple(row for row in shortage(bought, there) if row.short)
    return Making(
        stages=tuple(stages),
        buy=buy,
        first_day=first_day(on, _waits(chain, plan)),
    )


def _waits(chain: Chain, plan: ChainPlan) -> Sequence:
    """Only stages that the plan really makes keep anybody waiting."""
    cooked = {stage.name for stage in plan.stages}
    return [wait for wait in longest_wait(chain) if wait.stage in cooked]


def _taken(
    need: Need,
    shelf: Shelf,
    made: dict[int, Decimal],
    *,
    ready: bool,
    tubs: Mapping[int, str],
) -> Taken:
    key, amount = need.item.key, need.to_weigh
    if need.item.on_tap:
        return Taken(need, (Share(need.item.name, amount),), ZERO, ZERO)
    if key in tubs:
        return _out_of(need, amount, tubs[key], shelf)
    shares: list[Share] = []
    rest = amount
    if key in made and not ready:
        above = min(rest, made[key])
    else:
        above = ZERO
        shares, rest = shelf.take(key, amount)
        if key in made:
            above = min(rest, made[key])
    short = amount - sum((share.amount for share in shares), ZERO) - above
    # Rounding to the milligram on both sides is no shortage.
    return Taken(need, tuple(shares), above, short if short > Decimal("0.01") else ZERO)


def _out_of(need: Need, amount: Decimal, tub: str, shelf: Shelf) -> Taken:
    """Out of the one tub whose purity was counted with, and of no other."""
    held = sum(
        (lot.on_hand for lot in shelf.lots[need.item.key] if lot.code == tub), ZERO
    )
    short = max(amount - held, ZERO)
    return Taken(need, (Share(tub, amount - short),) if held else (), ZERO, short)


def items_of(plan: ChainPlan) -> dict[int, Item]:
    """The cards behind a plan, in one query."""
    keys = {need.item.key for stage in plan.stages for need in stage.goes_in}
    keys |= {stage.stage.makes.key for stage in plan.stages}
    return Item.objects.in_bulk(keys - {0})
