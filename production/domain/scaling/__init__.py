"""How much of everything: from bottles wanted back to the oils, and the other way.

Shares are fractions, amounts grams or pieces, unrounded until they are shown. A stage
mixes an amount together and gives that amount less its expected loss.
"""

from production.domain.scaling.chain import (
    FROM_THE_COOK,
    Chain,
    ChainPlan,
    Reach,
    Stage,
    StagePlan,
    chain_of,
    plan_back,
    reach,
    settle,
    unknown_losses,
)
from production.domain.scaling.days import FirstDay, Wait, first_day, longest_wait
from production.domain.scaling.goods import (
    WATER,
    Material,
    Need,
    Published,
    Short,
    shortage,
)
from production.domain.scaling.kettle import (
    KettleLoad,
    fits,
    oils_for_alkali,
    oils_for_paste,
    oils_for_vessel,
)
from production.domain.scaling.losses import Experience, Loss, experience
from production.domain.scaling.plans import (
    CookPlan,
    DilutionPlan,
    FillingPlan,
    Line,
    Lye,
    SharePlan,
)

__all__ = [
    "FROM_THE_COOK",
    "WATER",
    "Chain",
    "ChainPlan",
    "CookPlan",
    "DilutionPlan",
    "Experience",
    "FillingPlan",
    "FirstDay",
    "KettleLoad",
    "Line",
    "Loss",
    "Lye",
    "Material",
    "Need",
    "Published",
    "Reach",
    "SharePlan",
    "Short",
    "Stage",
    "StagePlan",
    "Wait",
    "chain_of",
    "experience",
    "first_day",
    "fits",
    "longest_wait",
    "oils_for_alkali",
    "oils_for_paste",
    "oils_for_vessel",
    "plan_back",
    "reach",
    "settle",
    "shortage",
    "unknown_losses",
]
