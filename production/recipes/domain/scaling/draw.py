"""Which lots a need would come from, and what their certificates make of a cook."""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, replace
from decimal import Decimal, localcontext

from production.chemistry.domain.constants import EXACT
from production.quantities.domain.numbers import ZERO
from production.recipes.domain import pot as pots
from production.recipes.domain.scaling.chain import Chain, StagePlan
from production.recipes.domain.scaling.goods import Need, noise
from production.recipes.domain.scaling.plans import CookPlan
from production.recipes.domain.scaling.settle import settle
from production.recipes.domain.scaling.stock_view import Share, StockView


@dataclass(frozen=True, slots=True)
class Taken:
    """One need of a stage, the lots it would come from, and what made it or is short.

    ``made_above`` is how much of it an earlier stage of the plan makes.
    """

    need: Need
    shares: tuple[Share, ...]
    made_above: Decimal
    short: Decimal
    goes_in: pots.GoesIn = ""


def take(
    need: Need,
    row: StagePlan,
    stock: StockView,
    made: dict[int, Decimal],
    *,
    ready: Set[int],
    step: Decimal,
    goes_in: pots.GoesIn = "",
) -> Taken:
    """The lots that one need would come from.

    ``made`` is what earlier stages of the plan make, by the key of the material, and
    goes down; ``ready`` the keys of what is taken first where it stands ready. Where
    what is there is short by no more than rounding on the way can make it, all of it is
    taken.
    """
    key, amount = need.item.key, need.amount
    if need.item.on_tap:
        return Taken(need, (Share(need.item.name, amount),), ZERO, ZERO, goes_in)
    if tub := _tub_of(row, key):
        return _out_of(need, tub, stock)
    shares: list[Share] = []
    rest = amount
    if key not in made or key in ready:
        shares, rest = stock.take(key, amount)
    above = min(rest, made.get(key, ZERO))
    if key in made:
        made[key] -= above
    short = rest - above
    if ZERO < short < amount and short <= noise(amount, step):
        need, short = Need(need.item, amount - short), ZERO
    return Taken(need, tuple(shares), above, short, goes_in)


def _tub_of(row: StagePlan, key: int) -> str:
    plan = row.stage.plan
    tubs = plan.tubs.values() if isinstance(plan, CookPlan) else ()
    return next((tub.lye.source for tub in tubs if tub.item.key == key), "")


def _out_of(need: Need, tub: str, stock: StockView) -> Taken:
    """Out of the one tub whose purity was counted with, and of no other."""
    held = stock.held(need.item.key, tub)
    part = min(need.amount, held)
    shares = (Share(tub, part),) if part > 0 else ()
    return Taken(need, shares, ZERO, need.amount - part)


def with_certificates(chain: Chain, cooks: Iterable[Taken], stock: StockView) -> Chain:
    """The chain with each oil by the lots it would come from; itself without any."""
    drawn = {
        taken.need.item.key: taken
        for taken in cooks
        if any(share.code in stock.own for share in taken.shares)
    }
    if not drawn:
        return chain
    certified = tuple(
        replace(stage, plan=replace(stage.plan, lines=_split(stage.plan, drawn, stock)))
        if isinstance(stage.plan, CookPlan)
        else stage
        for stage in chain.stages
    )
    # The soap content of a paste follows from its cook, so it is worked out again.
    return settle(replace(chain, stages=certified))


def _split(
    plan: CookPlan, drawn: Mapping[int, Taken], stock: StockView
) -> tuple[pots.Line, ...]:
    """Each oil as the lots it comes from; what no lot covers is as published."""
    found: list[pots.Line] = []
    for line in plan.lines:
        taken = drawn.get(line.item.key) if line.item and line.fat else None
        if taken is None:
            found.append(line)
            continue
        with localcontext(EXACT):
            parts = [
                (share.code, line.share * share.amount / taken.need.amount)
                for share in taken.shares
            ]
            rest = line.share - sum((part for _, part in parts[:-1]), ZERO)
        if not taken.short:
            parts[-1] = parts[-1][0], rest
            rest = ZERO
        else:
            rest -= parts[-1][1]
        found += [_of_lot(line, code, part, stock) for code, part in parts]
        if rest > 0:
            found.append(replace(line, share=rest))
    return tuple(found)


def _of_lot(line: pots.Line, code: str, share: Decimal, stock: StockView) -> pots.Line:
    own, fat = stock.own.get(code), line.fat
    if own is not None and fat is not None:
        if own.sv is not None:
            fat = replace(fat, sv=own.sv, sv_low=own.sv, sv_high=own.sv)
        if own.acid_value is not None:
            fat = replace(fat, acid_value=own.acid_value)
        if own.unsaponifiable is not None:
            fat = replace(fat, unsaponifiable=own.unsaponifiable)
    return replace(line, name=f"{line.name}, {code}", share=share, fat=fat)
