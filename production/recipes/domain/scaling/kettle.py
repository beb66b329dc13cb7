"""How many grams of oils a kettle takes."""

from dataclasses import dataclass
from decimal import Decimal, localcontext

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.pot import Pot
from production.chemistry.domain.profile import OilProfile, profile
from production.chemistry.domain.saponification import Saponification, saponify
from production.chemistry.domain.validation import above_zero, share
from production.quantities.domain.numbers import ONE, ZERO, grams, plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.chain import Stage, StagePlan
from production.recipes.domain.scaling.plans import PER, CookPlan

# How many times the batch a kettle holds, so that what rises stays in it, and above
# which share of lauric and myristic acid a batch rises more: common practice, no
# source.
ROOM, MORE_ROOM = 2, 3
RICH = Decimal("0.4")
# Oils weigh about 0.91 g/mL and lye more than 1.1: at 1.0 the volume of a batch is
# stated a little too large, never too small (common practice, no source).
DENSITY = ONE


@dataclass(frozen=True, slots=True)
class KettleLoad:
    """Grams of oils and of the whole batch that a kettle takes, and why."""

    oils: Decimal
    batch: Decimal
    times: int
    says: str


def oils_for_vessel(
    pot_per: Pot,
    volume_mL: Decimal,
    first_cook: bool,
    lauric_share: Decimal | None,
) -> KettleLoad:
    """The most oils that a kettle of so many millilitres should be given.

    It holds the batch twice, three times on a first cook, where lauric and myristic
    acid together are above 0.4 of the fatty acids, or where that is unknown (None):
    common practice, no source.
    """
    above_zero(volume_mL, "the volume of the kettle in mL")
    times, why = _room(first_cook, lauric_share)
    with localcontext(EXACT):
        batch = volume_mL * DENSITY / times
        filled = _batch(saponify(pot_per)) + pot_per.evaporated
        oils = _oils(pot_per) * batch / filled
    says = (
        f"{why}, the kettle should hold {times} times the batch: "
        f"{plain(grams(volume_mL / 1000))} L take {plain(grams(batch))} g, "
        f"of which {plain(grams(oils))} g are oils."
    )
    return KettleLoad(oils, batch, times, says)


@dataclass(frozen=True, slots=True)
class Kettle:
    """A kettle of so many millilitres; ``first`` are the keys of the cooks that were
    never cooked before, or are said to be."""

    volume: Decimal
    first: frozenset[int] = frozenset()

    def load(self, stage: Stage) -> KettleLoad:
        """The most that it should be given of one cook."""
        plan = stage.plan
        assert isinstance(plan, CookPlan)
        return oils_for_vessel(
            plan.pot(PER), self.volume, stage.key in self.first, lauric_share(plan)
        )

    def remark(self, planned: StagePlan) -> str:
        """What to say of a cook that is too large for it; "" where it fits."""
        if planned.oils is None:
            return ""
        load = self.load(planned.stage)
        if planned.oils <= load.oils:
            return ""
        return (
            f"{plain(grams(planned.oils))} g of oils are too much for this kettle, it "
            f"could boil over. {load.says} Cook less at a time or in a larger kettle."
        )


def lauric_share(plan: CookPlan) -> Decimal | None:
    """Lauric and myristic acid of the oils together, a fraction of the fatty acids.

    An oil without a published composition counts as if it were nothing else; None
    where it is that which would make the oils rich in them.
    """
    oils = [
        OilProfile(line.name, line.share, fat.acids, kind=fat.kind)
        for line in plan.oils
        if (fat := line.fat) is not None
    ]
    if len(oils) < len(plan.oils):
        return None
    blend = profile(oils)
    typical = blend.groups["lauric_myristic"].typical
    if typical is None or typical > RICH:
        return typical
    most = typical + 1 - blend.known
    return most if most <= RICH else None


def _room(first_cook: bool, lauric_share: Decimal | None) -> tuple[int, str]:
    if first_cook:
        return MORE_ROOM, "On a first cook"
    if lauric_share is None:
        return MORE_ROOM, "With lauric and myristic acid unknown"
    if share(lauric_share, "the share of lauric and myristic acid") > RICH:
        return MORE_ROOM, "With much lauric and myristic acid, which foams"
    return ROOM, "So that what rises stays in it"


def _oils(pot: Pot) -> Decimal:
    return sum((oil.grams for oil in pot.oils), ZERO)


def _batch(cooked: Saponification) -> Decimal:
    if cooked.paste is None:
        raise Refused("State the lye water: without it nobody knows how much is made.")
    return cooked.paste
