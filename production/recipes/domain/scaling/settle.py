"""A chain with what is only known on the day: losses, tubs, contents of pastes."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from types import MappingProxyType

from production.chemistry.domain.pot import alkalis_used
from production.recipes.domain.scaling.chain import Chain, Plan, Stage
from production.recipes.domain.scaling.plans import CookPlan, DilutionPlan, Tub
from production.yields.domain.losses import Loss

FROM_THE_COOK = "worked out from the cook"


@dataclass(frozen=True, slots=True)
class Known:
    """A figure of the day and where it comes from, for people."""

    value: Decimal
    source: str


def settle(
    chain: Chain,
    *,
    losses: Mapping[int, Loss] = MappingProxyType({}),
    tubs: Iterable[Tub] = (),
    contents: Mapping[int, Known] = MappingProxyType({}),
) -> Chain:
    """The chain with what is only known on the day.

    ``losses`` by the key of the stage; ``contents`` (soap content of a paste) by that
    of the material. The content of a paste that is not given, and is cooked here, is
    worked out from its cook.
    """
    told = {tub.item.alkali: tub for tub in tubs}
    stages = [
        replace(
            stage,
            loss=losses.get(stage.key, stage.loss),
            plan=_with_tubs(stage.plan, told),
        )
        for stage in chain.stages
    ]
    cooks = {stage.makes.key: stage for stage in stages if stage.stage == "cook"}
    return replace(
        chain,
        stages=tuple(
            replace(stage, plan=_with_content(stage.plan, contents, cooks))
            for stage in stages
        ),
    )


def _with_tubs(plan: Plan, told: Mapping[str, Tub]) -> Plan:
    if not isinstance(plan, CookPlan):
        return plan
    used = alkalis_used(plan.terms.koh_share)
    chosen = {alkali: tub for alkali, tub in told.items() if alkali in used}
    return replace(plan, tubs=chosen or plan.tubs)


def _with_content(
    plan: Plan, contents: Mapping[int, Known], cooks: Mapping[int, Stage]
) -> Plan:
    if not isinstance(plan, DilutionPlan):
        return plan
    if known := contents.get(plan.paste.key):
        return replace(plan, content=known.value, source=known.source)
    cook = cooks.get(plan.paste.key)
    if cook is None or (plan.content is not None and plan.source != FROM_THE_COOK):
        return plan
    return replace(plan, content=cook.content, source=FROM_THE_COOK)


def unknown_losses(chain: Chain) -> tuple[Stage, ...]:
    """The stages whose loss has to be asked for before anything can be planned."""
    return tuple(stage for stage in chain.stages if stage.loss is None)
