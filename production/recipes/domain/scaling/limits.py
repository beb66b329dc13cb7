"""How much can be made where it is said what there is to make it from."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.chain import Chain, Reach, Target, reach
from production.recipes.domain.scaling.goods import Material, on_balance
from production.recipes.domain.scaling.kettle import Kettle
from production.recipes.domain.scaling.plans import CookPlan
from production.recipes.domain.scaling.stock_view import StockView


@dataclass(frozen=True, slots=True)
class Limits:
    """What there is to make it from: all that is in the tubs, so much oil or paste,
    what a kettle takes."""

    tub: bool = False
    oils: Decimal | None = None
    paste: Decimal | None = None
    kettle: Kettle | None = None


NONE = Limits()


def reached(
    chain: Chain,
    wanted: Mapping[int, Target | None],
    limits: Limits,
    stock: StockView,
    step: Decimal,
) -> "Reach | None":
    if None not in wanted.values():
        return None
    there = _amounts(chain, limits, stock, step)
    if not there:
        raise Refused(
            "Write how much is wanted, or tell below what there is to make it from."
        )
    mix = {key: one.amount if one else Decimal(1) for key, one in wanted.items()}
    return reach(chain, mix, there)


def bound_by(item: Material, limits: Limits) -> str:
    """What decided, as a sentence."""
    if item.category == "oil" and limits.oils:
        return "As much as so much oil gives."
    if item.category == "oil" and limits.kettle:
        return "As much as the kettle takes."
    return f"As much as that gives: {item.name} runs out first."


def _amounts(
    chain: Chain, limits: Limits, stock: StockView, step: Decimal
) -> dict[int, Decimal]:
    """What there is, by the key of the material; of tubs and paste in whole steps of
    the balance, since half a step more cannot be weighed out of them."""
    there: dict[int, Decimal] = {}
    for stage in chain.stages:
        plan = stage.plan
        if not isinstance(plan, CookPlan):
            continue
        if limits.tub:
            there |= {
                tub.item.key: on_balance(
                    stock.held(tub.item.key, tub.lye.source),
                    step,
                    ROUND_FLOOR,
                )
                for tub in plan.tubs.values()
            }
        if limits.oils:
            there |= plan.each_oil(limits.oils)
        elif limits.kettle:
            there |= plan.each_oil(limits.kettle.load(stage).oils)
        if limits.paste:
            paste = on_balance(limits.paste, step, ROUND_FLOOR)
            there[stage.makes.key] = paste
    return there
