"""A recipe that stands, said as an idea, so that one thing of it can be changed."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from production.models import Version
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.chain import Chain, Stage
from production.recipes.domain.scaling.goods import Material
from production.recipes.domain.scaling.plans import (
    CookPlan,
    DilutionPlan,
    FillingPlan,
    Line,
    SharePlan,
)
from production.recipes.reads.chain import chain_as_made

LOSSES = {"cook", "dilution", "finishing", "filling"}


@dataclass(slots=True)
class Said:
    """What the boxes of an idea would hold; ``rows`` by the name of their set.

    Shares are fractions. ``whole``: it cannot be said line by line, and begins from
    what the recipe makes as it stands.
    """

    first: dict[str, Any] = field(default_factory=dict)
    rows: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    whole: bool = False


def recipe_as_idea(version: Version) -> Said:
    """A recipe and those behind it, stage by stage.

    Where one of them does what an idea has no box for (two pastes in one soap, an acid
    in the kettle), the idea begins from what the recipe makes.
    """
    try:
        chain = chain_as_made(version)
        said = _said(chain, chain.stage(version.pk))
    except Refused:
        said = None
    if said is not None:
        return said
    made = version.formula.makes
    return Said({"base": made.pk, "name": f"{made}, changed"}, whole=True)


def _said(chain: Chain, top: Stage) -> Said | None:
    said = Said({"name": f"{top.makes.name}, changed"})
    for stage in _down(chain, top):
        if stage.loss is not None and stage.stage in LOSSES:
            said.first[f"loss_{stage.stage}"] = stage.loss.share
        if not _written(said, chain, stage):
            return None
    # Without a cook nothing of it could be changed.
    return said if said.rows.get("oils") else None


def _down(chain: Chain, top: Stage) -> Iterator[Stage]:
    """From the piece to the kettle, along what is soap."""
    stage: Stage | None = top
    while stage is not None:
        yield stage
        soap = _soap(chain, stage)
        stage = next((st for st in chain.stages if st.makes == soap), None)


def _soap(chain: Chain, stage: Stage) -> Material | None:
    """What a stage takes of what another makes and goes on as soap."""
    made = {st.makes.key for st in chain.stages if st.stage != "preparation"}
    return next((item for item in stage.plan.takes if item.key in made), None)


def _written(said: Said, chain: Chain, stage: Stage) -> bool:
    """Its boxes filled; False where an idea has none for what it does."""
    plan, soap = stage.plan, _soap(chain, stage)
    if isinstance(plan, FillingPlan) and stage.stage == "filling":
        parts = _beside(plan.per_piece, soap)
        filled = [line for line in plan.per_piece if line.item == soap]
        if len(filled) != 1:
            return False
        said.first["fill"] = f"{plain(filled[0].amount)} g"
        said.rows["packaging"] = [
            {"what": line.item.name, "each": plain(line.amount)} for line in parts
        ]
        return True
    if isinstance(plan, SharePlan) and stage.stage == "finishing":
        lines = [line for line in plan.lines if line.item == soap]
        whole = sum(line.amount for line in plan.lines) == 1
        said.rows["finishing"] = [
            {"what": line.item.name, "share": line.amount}
            for line in _beside(plan.lines, soap)
        ]
        return whole and len(lines) == 1
    if isinstance(plan, DilutionPlan) and not plan.others:
        said.first["soap_content"] = plan.target
        return True
    return isinstance(plan, CookPlan) and _cook(said, plan)


def _beside(lines: tuple[Line, ...], soap: Material | None) -> list[Line]:
    return [line for line in lines if line.item != soap]


def _cook(said: Said, plan: CookPlan) -> bool:
    terms = plan.terms
    said.first |= {
        "superfat": terms.superfat,
        "koh_share": terms.koh_share,
        "lye_strength": terms.lye_strength,
        "water_per_alkali": None
        if terms.water_per_alkali is None
        else plain(terms.water_per_alkali),
    }
    said.rows["oils"] = [{"what": line.name, "share": line.share} for line in plan.oils]
    return len(plan.oils) == len(plan.lines) and not terms.lye_excess
