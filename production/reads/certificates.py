"""Oils of a plan with the values of the lots that they would come from."""

from dataclasses import replace
from decimal import Decimal

from production.domain.scaling import (
    FROM_THE_COOK,
    Chain,
    CookPlan,
    DilutionPlan,
    Line,
    Published,
    Stage,
    settle,
)
from production.models import Measurement
from production.reads.cooking import own_values
from production.reads.making import Making, Taken

SV = Measurement.What.SAPONIFICATION_VALUE


def with_certificates(chain: Chain, making: Making) -> Chain:
    """The chain with each oil at the saponification value of its lots, by weight.

    A lot without a certificate counts at the published value; the chain itself comes
    back where no lot has one. One query.
    """
    taken = {
        row.need.item.key: row
        for stage in making.stages
        if stage.is_cook
        for row in stage.taken
    }
    codes = [share.code for row in taken.values() for share in row.shares]
    own = {
        code: values[SV] for code, values in own_values(codes).items() if SV in values
    }
    if not own:
        return chain
    stages = tuple(_certified(stage, taken, own) for stage in chain.stages)
    # The soap content of a paste follows from its cook, so it is worked out again.
    return settle(replace(chain, stages=stages))


def _certified(stage: Stage, taken: dict[int, Taken], own: dict[str, Decimal]) -> Stage:
    plan = stage.plan
    if isinstance(plan, DilutionPlan) and plan.source == FROM_THE_COOK:
        return replace(stage, plan=replace(plan, content=None))
    if not isinstance(plan, CookPlan):
        return stage
    oils = tuple(_line(line, taken.get(line.item.key), own) for line in plan.oils)
    return replace(stage, plan=replace(plan, oils=oils))


def _line(line: Line, row: Taken | None, own: dict[str, Decimal]) -> Line:
    published = line.item.oil
    if published is None or row is None:
        return line
    known = [share for share in row.shares if share.code in own]
    if not known:
        return line
    amount = row.need.to_weigh
    covered = sum((share.amount for share in known), Decimal(0))
    weight = sum((share.amount * own[share.code] for share in known), Decimal(0))
    rest = amount - covered
    values = (
        (weight + rest * end) / amount
        for end in (published.sv, published.low, published.high)
    )
    oil = Published(*values, published.kind)
    return replace(line, item=replace(line.item, oil=oil))
