"""How many grams of oils: for so much paste, from so much alkali, in this kettle."""

from dataclasses import dataclass
from decimal import Decimal, localcontext

from production.domain.chemistry.constants import EXACT, ONE, ZERO
from production.domain.chemistry.recipe import Recipe
from production.domain.chemistry.saponification import Saponification, saponify
from production.domain.chemistry.stated import above_zero, share
from production.domain.numbers import grams, plain
from production.domain.refusal import Refused
from production.domain.scaling.losses import Loss

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


def oils_for_paste(recipe_per: Recipe, paste_wanted: Decimal, loss: Loss) -> Decimal:
    """Grams of oils, unrounded, after whose cook so much paste is left.

    ``recipe_per`` is the recipe at any size. Refused where no lye water is known.
    """
    above_zero(paste_wanted, "the grams of paste")
    with localcontext(EXACT):
        made = loss.after(_batch(saponify(recipe_per)))
        return _oils(recipe_per) * paste_wanted / made


def oils_for_alkali(
    recipe_per: Recipe, alkali_left: Decimal, alkali: str = "KOH"
) -> Decimal:
    """Grams of oils, unrounded, that so much KOH or NaOH, as weighed, saponifies.

    Refused where the recipe uses none of it.
    """
    above_zero(alkali_left, f"the grams of {alkali}")
    cooked = saponify(recipe_per)
    weighed = {"KOH": cooked.koh_weighed, "NaOH": cooked.naoh_weighed}.get(alkali, ZERO)
    if weighed <= 0:
        raise Refused(f"This recipe takes no {alkali}: choose the alkali it takes.")
    with localcontext(EXACT):
        return _oils(recipe_per) * alkali_left / weighed


def oils_for_vessel(
    recipe_per: Recipe,
    volume_mL: Decimal,
    first_cook: bool,
    lauric_share: Decimal | None,
    density: Decimal = DENSITY,
) -> KettleLoad:
    """The most oils that a kettle of so many millilitres should be given.

    It holds the batch twice, three times on a first cook, where lauric and myristic
    acid together are above 0.4 of the fatty acids, or where that is unknown (None):
    common practice, no source. ``density`` of the batch in g/mL.
    """
    above_zero(volume_mL, "the volume of the kettle in mL")
    above_zero(density, "the density of the batch in g/mL")
    times, why = _room(first_cook, lauric_share)
    with localcontext(EXACT):
        batch = volume_mL * density / times
        filled = _batch(saponify(recipe_per)) + recipe_per.evaporated
        oils = _oils(recipe_per) * batch / filled
    says = (
        f"{why}, the kettle should hold {times} times the batch: "
        f"{plain(grams(volume_mL / 1000))} L take {plain(grams(batch))} g, "
        f"of which {plain(grams(oils))} g are oils."
    )
    return KettleLoad(oils, batch, times, says)


def fits(
    recipe: Recipe,
    volume_mL: Decimal,
    first_cook: bool,
    lauric_share: Decimal | None,
    density: Decimal = DENSITY,
) -> str | None:
    """What to say of a batch that is too large for the kettle; None where it fits."""
    load = oils_for_vessel(recipe, volume_mL, first_cook, lauric_share, density)
    oils = _oils(recipe)
    if oils <= load.oils:
        return None
    return (
        f"{plain(grams(oils))} g of oils are too much for this kettle, it could boil "
        f"over. {load.says} Cook less at a time or in a larger kettle."
    )


def _room(first_cook: bool, lauric_share: Decimal | None) -> tuple[int, str]:
    if first_cook:
        return MORE_ROOM, "On a first cook"
    if lauric_share is None:
        return MORE_ROOM, "With lauric and myristic acid unknown"
    if share(lauric_share, "the share of lauric and myristic acid") > RICH:
        return MORE_ROOM, "With much lauric and myristic acid, which foams"
    return ROOM, "So that what rises stays in it"


def _oils(recipe: Recipe) -> Decimal:
    return sum((oil.grams for oil in recipe.oils), ZERO)


def _batch(cooked: Saponification) -> Decimal:
    if cooked.paste is None:
        raise Refused("State the lye water: without it nobody knows how much is made.")
    return cooked.paste
