"""A product that does not exist yet: what somebody says of it, and its chain of stages.

Shares are fractions: of the oils in the cook, of what is mixed in the finishing. What
is not said is None and never assumed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from costing.domain.planned_bottle import Effort
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Line as CookLine
from production.recipes.domain.pot import Terms
from production.recipes.domain.scaling.chain import Chain, Plan, Stage, chain_of
from production.recipes.domain.scaling.goods import PIECE, Material
from production.recipes.domain.scaling.plans import (
    PER,
    CookPlan,
    DilutionPlan,
    FillingPlan,
    Line,
    SharePlan,
    Tub,
)
from production.recipes.domain.scaling.settle import settle, unknown_losses
from production.yields.domain.losses import Loss

Place = Literal["oil", "finishing", "packaging", "price"]
From = Literal["last", "stock", "quote"]
STAGES = ("cook", "dilution", "finishing", "filling")

# Keys of what is only thought of: no row of the book has one below zero.
PASTE = Material(-1, "Paste", kind="made")
DILUTED = Material(-2, "Diluted soap", kind="made")
FINISHED = Material(-3, "Finished soap", kind="made")
BOTTLE = -4
ALKALI_KEYS: Mapping[str, int] = {"KOH": -5, "NaOH": -6}
OILS_FROM, NAMES_FROM = -1_000, -1_000_000_000
KEYS: Mapping[str, int] = {stage: -place for place, stage in enumerate(STAGES, 1)}


@dataclass(frozen=True, slots=True)
class Quote:
    """So many grams or pieces for so much money, as a seller offers them."""

    amount: Decimal
    price: Decimal

    def __post_init__(self) -> None:
        if self.amount <= 0:
            raise Refused("A quote is for some amount: write it, such as 35 lb.")
        if self.price < 0:
            raise Refused("A quote costs nothing or more: write it without the minus.")

    @property
    def unit_cost(self) -> Fraction:
        """Currency per gram or piece."""
        return Fraction(self.price) / Fraction(self.amount)


@dataclass(frozen=True, slots=True)
class IdeaLine:
    """A material by its name, how much of it, and which price counts.

    ``share`` of the oils or of what is mixed; ``each`` for a piece, in grams or pieces.
    At the place "price" it has neither: it goes in by itself, as alkali and water do.
    """

    place: Place
    name: str
    share: Decimal | None = None
    each: Decimal | None = None
    price_from: From = "last"
    quote: Quote | None = None


def refuse_two_prices(one: IdeaLine, other: IdeaLine) -> None:
    """Refused where two lines price one material differently: one would hide the other.

    A line that says nothing ("last") takes what the other says.
    """
    if "last" in (one.price_from, other.price_from) or _said(one) == _said(other):
        return
    raise Refused(
        f"{other.name} stands here twice with two prices: write one of them, beside "
        "one of the lines or beside both."
    )


def _said(line: IdeaLine) -> tuple[From, Fraction | None]:
    return line.price_from, line.quote.unit_cost if line.quote else None


@dataclass(frozen=True, slots=True)
class Idea:
    """All that is said of a product; it begins from oils, or from ``base``.

    ``base`` names what a recipe of the book makes. ``fill`` is grams in one piece,
    ``losses`` shares by the stage. ``pieces`` is how many are made together, or grams
    of what stays ``unfilled``.
    """

    name: str
    pieces: Decimal
    base: str = ""
    lines: tuple[IdeaLine, ...] = ()
    superfat: Decimal | None = None
    koh_share: Decimal = ONE
    koh_purity: Decimal | None = None
    naoh_purity: Decimal | None = None
    water_per_alkali: Decimal | None = None
    lye_strength: Decimal | None = None
    soap_content: Decimal | None = None
    fill: Decimal | None = None
    losses: Mapping[str, Decimal] = field(default_factory=lambda: MappingProxyType({}))
    effort: Effort = field(default_factory=Effort)
    unfilled: bool = False

    def at(self, place: Place) -> tuple[IdeaLine, ...]:
        """The lines of one place, in their order."""
        return tuple(line for line in self.lines if line.place == place)

    @property
    def terms(self) -> Terms:
        """How the lye of its cook is set."""
        return Terms(
            superfat=self.superfat,
            koh_share=self.koh_share,
            water_per_alkali=self.water_per_alkali,
            lye_strength=self.lye_strength,
        )


@dataclass(frozen=True, slots=True)
class Known:
    """What the book knows of an idea: its oils, tubs, materials and the recipes behind.

    ``materials`` by the place and the name of a line; ``behind`` the stages of the
    recipes that it begins from, ``base`` the one that makes what its base names.
    """

    oils: Sequence[CookLine]
    tubs: Sequence[Tub]
    materials: Mapping[tuple[str, str], Material]
    water: Material
    behind: Sequence[Stage] = ()
    base: Stage | None = None


def chain_of_idea(idea: Idea, known: Known) -> tuple[Chain, int]:
    """Its stages, and the key of the one that makes the piece.

    Refused where it begins from nothing, where shares leave nothing for the soap, and
    where nobody said a loss, a purity, or how much is filled.
    """
    stages, top = _beginning(idea, known)
    if idea.soap_content is not None:
        plan = DilutionPlan(top.makes, idea.soap_content, None)
        top = _stage("dilution", DILUTED, plan)
        stages.append(top)
    if lines := idea.at("finishing"):
        top = _stage("finishing", FINISHED, _finishing(top.makes, lines, known))
        stages.append(top)
    packaging = [_each(line, known) for line in idea.at("packaging")]
    if not top.makes.counted and not idea.unfilled:
        if not idea.fill:
            raise Refused("Write how much soap is filled into one piece, such as 8 oz.")
        soap = Line(top.makes, idea.fill)
        top = _stage("filling", _piece(idea), FillingPlan((soap, *packaging)))
        stages.append(top)
    elif idea.fill:
        raise Refused(f"{top.makes.name} is filled already: leave the filling out.")
    elif packaging:
        more = FillingPlan((Line(top.makes, ONE), *packaging))
        top = _stage("filling", _piece(idea), more)
        top = replace(top, stage="packing", loss=Loss(ZERO, "nothing is poured"))
        stages.append(top)
    chain = chain_of(_on_the_way(stages, top), known.water)
    losses = {
        stage.key: Loss(idea.losses[stage.stage], "as typed")
        for stage in chain.stages
        if stage.stage in idea.losses
    }
    chain = settle(chain, losses=losses, tubs=known.tubs)
    if unknown := unknown_losses(chain):
        names = ", ".join(stage.name for stage in reversed(unknown))
        raise Refused(
            f"Write the loss to expect in {names}, such as 2 %: nothing is assumed."
        )
    return chain, top.key


def _on_the_way(stages: Sequence[Stage], top: Stage) -> list[Stage]:
    """The stages that the piece comes through, the last one first."""
    makers = {stage.makes.key: stage for stage in reversed(stages)}
    found = [top]
    for stage in found:  # grows while it is walked
        for item in stage.plan.takes:
            maker = makers.get(item.key)
            if maker is not None and maker not in found:
                found.append(maker)
    return found


def _beginning(idea: Idea, known: Known) -> tuple[list[Stage], Stage]:
    stages = list(known.behind)
    if known.base is not None:
        return stages, known.base
    if not known.oils:
        raise Refused("Write the oils, or what a recipe of the book makes already.")
    tubs = {tub.item.alkali: tub for tub in known.tubs}
    plan = CookPlan(tuple(known.oils), idea.terms, tubs)
    plan.for_oils(PER, known.water)  # refused at once where something is not said
    cook = _stage("cook", PASTE, plan)
    return [*stages, cook], cook


def _stage(stage: str, makes: Material, plan: Plan) -> Stage:
    return Stage(KEYS[stage], f"the {stage}", stage, makes, plan)


def _piece(idea: Idea) -> Material:
    return Material(BOTTLE, idea.name, PIECE, kind="made")


def _finishing(soap: Material, lines: Sequence[IdeaLine], known: Known) -> SharePlan:
    parts = [
        Line(known.materials[line.place, line.name], _share(line)) for line in lines
    ]
    rest = ONE - sum((line.amount for line in parts), ZERO)
    if rest <= 0:
        raise Refused(
            f"What joins the soap adds up to {plain((ONE - rest) * 100)} %: leave some "
            "of the whole for the soap."
        )
    return SharePlan((Line(soap, rest), *parts))


def _share(line: IdeaLine) -> Decimal:
    if line.share is None:
        raise Refused(f"Write the share of {line.name}, such as 3 %.")
    return line.share


def _each(line: IdeaLine, known: Known) -> Line:
    if line.each == 0:
        raise Refused(
            f"Write how many of {line.name} go on each piece, above 0, or leave it out."
        )
    each = ONE if line.each is None else line.each
    return Line(known.materials[line.place, line.name], each)
