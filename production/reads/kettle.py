"""Whether the cooks of a chain fit a kettle, from their oils and what was cooked."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from production.domain.chemistry.profile import OilProfile, profile
from production.domain.cooking import Fat
from production.domain.scaling import (
    Chain,
    ChainPlan,
    CookPlan,
    KettleLoad,
    Stage,
    fits,
    oils_for_vessel,
)
from production.domain.scaling.kettle import RICH
from production.models import Batch, Item, Vessel
from production.models import Stage as Kind
from production.reads.cooking import fats_of


@dataclass(frozen=True, slots=True)
class Kettle:
    """A vessel beside the cooks that it is asked for, by the keys of their stages.

    ``lauric`` is the share of lauric and myristic acid, None where it is unknown.
    """

    vessel: Vessel
    first: frozenset[int]
    lauric: Mapping[int, Decimal | None]

    def load(self, stage: Stage) -> KettleLoad:
        """The most that it should be given of one cook."""
        assert isinstance(stage.plan, CookPlan)
        return oils_for_vessel(
            stage.plan.recipe(),
            self.vessel.volume,
            stage.key in self.first,
            self.lauric[stage.key],
        )

    def remarks(self, plan: ChainPlan) -> list[str]:
        """What to say of each cook that is too large for it."""
        said = []
        for planned in plan.stages:
            stage = planned.stage
            if isinstance(stage.plan, CookPlan):
                recipe, first = stage.plan.recipe(planned.oils), stage.key in self.first
                volume, lauric = self.vessel.volume, self.lauric[stage.key]
                said.append(fits(recipe, volume, first, lauric))
        return [sentence for sentence in said if sentence]


def kettle_for(chain: Chain, vessel: Vessel, first_cook: bool) -> Kettle:
    """In three queries. It is a first cook where somebody says so, and where no batch
    of the recipe is in the book."""
    cooks = [stage for stage in chain.stages if isinstance(stage.plan, CookPlan)]
    cooked = set(
        Batch.objects.filter(
            stage=Kind.COOK, version__formula__in=[stage.formula for stage in cooks]
        ).values_list("version__formula", flat=True)
    )
    keys = {line.item.key for stage in cooks for line in stage.plan.oils}
    fats = fats_of(list(Item.objects.filter(pk__in=keys).select_related("oil")))
    return Kettle(
        vessel,
        frozenset(s.key for s in cooks if first_cook or s.formula not in cooked),
        {stage.key: lauric_share(stage.plan, fats) for stage in cooks},
    )


def lauric_share(plan: CookPlan, fats: Mapping[int, Fat]) -> Decimal | None:
    """Lauric and myristic acid of the oils together, a fraction of the fatty acids.

    An oil without a published composition counts as if it were nothing else; None
    where it is that which would make the oils rich in them.
    """
    oils = [
        OilProfile(line.item.name, line.amount, fat.acids, kind=fat.kind)
        for line in plan.oils
        if (fat := fats.get(line.item.key)) is not None
    ]
    if len(oils) < len(plan.oils):
        return None
    blend = profile(oils)
    typical = blend.groups["lauric_myristic"].typical
    if typical is None or typical > RICH:
        return typical
    most = typical + 1 - blend.known
    return most if most <= RICH else None
