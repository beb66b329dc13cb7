"""A chain of stages, walked from what is wanted back to what has to be there."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal, localcontext
from graphlib import CycleError, TopologicalSorter
from types import MappingProxyType
from typing import Any

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.saponification import saponify
from production.quantities.domain.numbers import ZERO, grams, plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain import cooking
from production.recipes.domain.scaling.goods import (
    Material,
    Need,
    noise,
    pieces_down,
    pieces_up,
    summed,
)
from production.recipes.domain.scaling.plans import (
    PER,
    CookPlan,
    DilutionPlan,
    FillingPlan,
    SharePlan,
)
from production.yields.domain.losses import Loss

# What the amount of a target is of: it comes out, is mixed together, or is oils; else
# it is of the material of that key.
OUT, TOGETHER, OILS = "out", "together", "oils"

Plan = FillingPlan | SharePlan | DilutionPlan | CookPlan

# From the shelf back to the kettle; what is prepared on the side comes last.
ORDER = ("packing", "filling", "finishing", "dilution", "cook", "preparation", "rework")


@dataclass(frozen=True, slots=True)
class Target:
    """How much a stage is planned for; ``of`` is OUT, TOGETHER, OILS or the key of a
    material that it takes."""

    amount: Decimal
    of: str | int = OUT


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage by one wording of its recipe; ``key`` is that of the wording and
    ``formula`` that of the recipe.

    ``loss`` None is unknown and has to be asked for. Its steps last ``work_days``
    nights, and what it makes then rests. ``terms`` are the recipe's own, as written;
    ``remarks`` what is to be said of it in any case.
    """

    key: int
    name: str
    stage: str
    makes: Material
    plan: Plan
    loss: Loss | None = None
    rest_days: int = 0
    formula: int = 0
    work_days: int = 0
    remarks: tuple[str, ...] = ()
    terms: Mapping[str, Any] = field(default_factory=dict)

    @property
    def content(self) -> Decimal | None:
        """Soap in the paste of a cook, unrounded; None where that is not yet known."""
        plan = self.plan
        if not isinstance(plan, CookPlan) or not plan.tubs or self.loss is None:
            return None
        recipe = plan.pot(PER)
        with localcontext(EXACT):
            return cooking.after_the_boil(
                recipe, saponify(recipe), plan.lines, self.loss.share
            ).soap_content


@dataclass(frozen=True, slots=True)
class Chain:
    """Stages, each before those that make what it takes. Made by ``chain_of``."""

    stages: tuple[Stage, ...]
    water: Material

    @property
    def takes(self) -> tuple[Material, ...]:
        """All that its stages take, water too."""
        return (*(it for stage in self.stages for it in stage.plan.takes), self.water)

    def stage(self, key: int) -> Stage:
        """The stage of one wording; refused where it is not in the chain."""
        for stage in self.stages:
            if stage.key == key:
                return stage
        raise Refused("That recipe is not part of this chain: choose it again.")


@dataclass(frozen=True, slots=True)
class StagePlan:
    """What one stage takes and gives.

    ``together`` is what is mixed, ``comes_out`` what is left of it after the loss
    (all of it where none is known), grams or pieces unrounded. Of a cook: ``oils`` in
    grams, and the soap ``content`` that its paste should have.
    """

    stage: Stage
    goes_in: tuple[Need, ...]
    together: Decimal
    comes_out: Decimal
    oils: Decimal | None = None
    content: Decimal | None = None

    @property
    def name(self) -> str:
        """The name of the recipe."""
        return self.stage.name


@dataclass(frozen=True, slots=True)
class ChainPlan:
    """Stages from filling back to cook; ``needs`` is what none of them makes."""

    stages: tuple[StagePlan, ...]
    needs: tuple[Need, ...]


@dataclass(frozen=True, slots=True)
class Reach:
    """What can be made, by the key of the stage, and what runs out first."""

    wanted: Mapping[int, Decimal]
    bound_by: Material


def chain_of(stages: Iterable[Stage], water: Material) -> Chain:
    """Put stages in order, takers before makers.

    Refused where something would be made of itself.
    """
    known = {stage.key: stage for stage in stages}
    makers = _makers(known.values())
    before: TopologicalSorter[int] = TopologicalSorter(dict.fromkeys(known, ()))
    for stage in known.values():
        for item in stage.plan.takes:
            if item.key in makers:
                before.add(makers[item.key], stage.key)
    try:
        before.prepare()
    except CycleError as fault:
        names = ", ".join(dict.fromkeys(known[key].name for key in fault.args[1]))
        raise Refused(
            f"These recipes go in a circle, each made of the next: {names}. Write one "
            "of them anew without it."
        ) from fault
    ready: list[int] = []
    ordered = []
    while before.is_active():
        ready = sorted([*ready, *before.get_ready()], key=lambda key: _rank(known[key]))
        first = ready.pop(0)
        ordered.append(known[first])
        before.done(first)
    return Chain(tuple(ordered), water)


def _rank(stage: Stage) -> tuple[int, int]:
    place = ORDER.index(stage.stage) if stage.stage in ORDER else len(ORDER)
    return place, stage.key


def _makers(stages: Iterable[Stage]) -> dict[int, int]:
    makers: dict[int, int] = {}
    for stage in stages:
        makers.setdefault(stage.makes.key, stage.key)
    return makers


def plan_back(
    chain: Chain,
    wanted: Mapping[int, Target | Decimal],
    ready: Mapping[int, Decimal] = MappingProxyType({}),
    step: Decimal = ZERO,
) -> ChainPlan:
    """From what is wanted, by the key of the stage, back to what has to be there.

    Pieces or grams that come out, after every loss, or a ``Target``. What several
    stages take of one material is added up. ``ready`` is what is there already of
    something made here, by the key of the material: so much less of it is made, and
    nothing for what a balance of that ``step`` cannot tell.
    Refused for parts of a piece, and where a loss, a purity or a content is not known.
    """
    targets = {
        key: one if isinstance(one, Target) else Target(one)
        for key, one in wanted.items()
    }
    for key, target in targets.items():
        stage = chain.stage(key)
        if target.amount <= 0:
            raise Refused(f"Write how much of {stage.makes.name} is wanted, above 0.")
        whole = target.amount == int(target.amount)
        if stage.makes.counted and target.of == OUT and not whole:
            raise Refused(
                f"{plain(target.amount)} {stage.makes.name}: write whole pieces."
            )
    return _walk(chain, targets, ready, whole=True, step=step)


def _walk(
    chain: Chain,
    wanted: Mapping[int, Target],
    ready: Mapping[int, Decimal],
    whole: bool,
    step: Decimal = ZERO,
) -> ChainPlan:
    """The one way through the chain; ``whole`` rounds pieces up as they are met."""
    makers = _makers(chain.stages)
    asked: defaultdict[int, Decimal] = defaultdict(Decimal)
    stages: list[StagePlan] = []
    with localcontext(EXACT):
        for stage in chain.stages:
            target, more = wanted.get(stage.key), ZERO
            if makers[stage.makes.key] == stage.key:
                wants = asked[stage.makes.key]
                more = wants - ready.get(stage.makes.key, ZERO)
                if ready.get(stage.makes.key) and more <= noise(wants, step):
                    more = ZERO
            if target is None and more <= 0:
                continue
            planned = _plan_stage(
                stage, target or Target(ZERO), max(more, ZERO), chain.water, whole
            )
            for need in planned.goes_in:
                asked[need.item.key] += need.amount
            stages.append(planned)
    loose = [
        need
        for planned in stages
        for need in planned.goes_in
        if need.item.key not in makers
    ]
    return ChainPlan(tuple(stages), summed(loose))


def solve(stage: Stage, target: Target, water: Material) -> StagePlan:
    """One stage alone, unrounded, pieces too."""
    return _plan_stage(stage, target, ZERO, water, whole=False)


def _plan_stage(
    stage: Stage, target: Target, more: Decimal, water: Material, whole: bool
) -> StagePlan:
    """One balance, solved for what was named; ``more`` comes out beside it."""
    together = _together(stage, target, more, water)
    out = together if stage.loss is None else stage.loss.after(together)
    if target.of == OUT:
        out = target.amount + more
    if whole and stage.makes.counted:
        out = pieces_up(out)
        together = stage.loss.before(out) if stage.loss else out
    if isinstance(stage.plan, FillingPlan):
        needs = stage.plan.for_pieces(together, out)
    else:
        needs = stage.plan.goes_in(together, water)
    if whole:
        needs = tuple(
            Need(need.item, need.to_weigh) if need.item.counted else need
            for need in needs
        )
    planned = StagePlan(stage, needs, together, out)
    if not isinstance(stage.plan, CookPlan):
        return planned
    oils = stage.plan.oils_in(needs)
    return replace(planned, oils=oils, content=stage.content)


def _together(stage: Stage, target: Target, more: Decimal, water: Material) -> Decimal:
    """What has to be mixed for what is named; linear, so once for 1,000 is enough."""
    if target.of == OUT or more:
        if stage.loss is None:
            raise Refused(
                f"Write the loss to expect in {stage.name}: no batch of it is in the "
                "book and its recipe names none."
            )
        more = stage.loss.before(more + (target.amount if target.of == OUT else ZERO))
    if target.of == OUT:
        return more
    if target.of == TOGETHER:
        return target.amount + more
    needs = stage.plan.goes_in(PER, water)
    if target.of == OILS and isinstance(stage.plan, CookPlan):
        of_it = stage.plan.oils_in(needs)
    else:
        of_it = sum((n.amount for n in needs if n.item.key == target.of), ZERO)
    if not of_it:
        raise Refused(f"{stage.name} takes none of that: choose something else.")
    return PER * target.amount / of_it + more


def reach(
    chain: Chain, mix: Mapping[int, Decimal], limits: Mapping[int, Decimal]
) -> Reach:
    """How much can be made of what is there, in the proportions of ``mix``.

    ``limits`` by the key of a material: alkali or an oil that is left, paste that
    stands ready, what a kettle takes. Whole pieces, rounded down; grams unrounded.
    Refused where none of them goes in, and where they do not make one piece.
    """
    plan = _walk(
        chain, {key: Target(amount) for key, amount in mix.items()}, {}, whole=False
    )
    taken = summed(need for stage in plan.stages for need in stage.goes_in)
    bounds = {
        need.item.key: need for need in taken if need.item.key in limits and need.amount
    }
    if not bounds:
        raise Refused("Nothing of what you have goes into this: choose something else.")
    with localcontext(EXACT):
        times = {
            key: max(limits[key], ZERO) / need.amount for key, need in bounds.items()
        }
        least = min(times, key=lambda key: times[key])
        made = {key: amount * times[least] for key, amount in mix.items()}
    made = {
        key: pieces_down(amount) if chain.stage(key).makes.counted else amount
        for key, amount in made.items()
    }
    bound = bounds[least].item
    return Reach(_trimmed(chain, made, limits, bound), bound)


def _trimmed(
    chain: Chain,
    made: Mapping[int, Decimal],
    limits: Mapping[int, Decimal],
    bound: Material,
) -> dict[int, Decimal]:
    """A piece less where packaging rounded up would be more than there is."""
    left = {key: amount for key, amount in made.items() if amount > 0}
    while left:
        plan = plan_back(chain, left)
        over = [
            need
            for need in summed(n for stage in plan.stages for n in stage.goes_in)
            if need.item.key in limits and need.to_weigh > grams(limits[need.item.key])
        ]
        counted = [key for key in left if chain.stage(key).makes.counted]
        if not over or not counted:
            return left
        most = max(counted, key=lambda key: left[key])
        left[most] -= 1
        left = {key: amount for key, amount in left.items() if amount > 0}
    raise Refused(f"The {bound.name} there is does not make one piece.")
