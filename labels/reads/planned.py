"""What a product would hold as its recipes say now, before any of it was made.

The planner works the chain out; what it would pour is then followed like real lots.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from decimal import Decimal

from labels.domain.composition_sheet import CompositionSheet
from labels.reads.assessments import is_scent
from labels.reads.composition import ingredients_of
from production.contents.domain.contents import (
    BatchFacts,
    Contents,
    Flow,
    LotFacts,
    Supplied,
    Value,
    contents,
)
from production.contents.reads.contents import supplied
from production.models import Item, Lot, Version
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Lye
from production.recipes.domain.scaling.chain import TOGETHER, Target
from production.recipes.domain.scaling.work_out import PlannedStage, work_out
from production.recipes.reads.chain import chain_as_made, latest_wording
from production.recipes.reads.planning import (
    alkalis_of,
    facts_of,
    items_of,
    with_tubs,
)
from production.recipes.reads.tubs import last_tubs

# So much of it, grams or pieces, that no step of a balance counts.
SO_MUCH = Decimal(10_000)


def planned_sheet(item: Item, on: date) -> CompositionSheet:
    """The composition of a product by the last wordings of its recipes.

    Raises Refused where no recipe makes it, where one cannot be worked out, and where
    something that goes in has no label name.
    """
    version = latest_wording(item)
    chain = chain_as_made(version)
    chain = with_tubs(chain, last_tubs(alkalis_of(chain)).values())
    target = Target(SO_MUCH, TOGETHER)
    plan = work_out(chain, {version.pk: target}, facts_of(chain, on))
    items = items_of(plan.stages)
    needs = (taken.need.item.key for row in plan.stages for taken in row.taken)
    if not all(key in items for key in needs):
        raise Refused("There is no water among the items: add it with its label name.")
    held = _followed(plan.stages, items, on)
    lots = {code: Lot(code=code, item=_item_of(code, items)) for code in held.added}
    made, notes = ingredients_of(held, lots)
    return CompositionSheet(
        product=item.name,
        of="a plan, from the recipes as they stand",
        recipes=_wordings(plan.stages),
        ingredients=made,
        sources=(),
        ph=None,
        free_alkali=None,
        packs=_containers(plan.stages, items),
        unknown=(
            *(held.missing if held.finished is None else ()),
            *_depends(lots.values()),
        ),
        notes=notes,
    )


def _wordings(stages: Iterable[PlannedStage]) -> tuple[str, ...]:
    keys = [row.plan.stage.key for row in stages]
    known = Version.objects.select_related("formula").in_bulk(keys)
    return tuple(str(known[key]) for key in keys)


def _depends(lots: Iterable[Lot]) -> Iterator[str]:
    """What only the lots themselves will tell."""
    for item in (lot.item for lot in lots):
        if is_scent(item):
            yield f"Which allergens {item} holds: that depends on its lot."
        elif item.acid:
            yield f"The purity of {item}: it is taken as pure."


def _code(key: int) -> str:
    return f"item {key}"


def _item_of(code: str, items: Mapping[int, Item]) -> Item:
    return items[int(code.removeprefix("item "))]


def _followed(
    stages: tuple[PlannedStage, ...], items: Mapping[int, Item], on: date
) -> Contents:
    """What the last stage holds, where every stage pours what the plan weighs."""
    made = {row.plan.stage.makes.key: row for row in stages}
    flows: dict[int, list[Flow]] = defaultdict(list)
    lyes: dict[str, Lye] = {}
    for row in stages:
        lyes |= row.lyes
        batch = _batch(row)
        for taken in row.taken:
            amount = taken.need.amount
            flows[taken.need.item.key].append(Flow("used", -amount, on, batch))
    lots = [
        LotFacts(
            _code(key),
            _started(key, made, flows),
            tuple(flows[key]),
            None if key in made else _supplied(items[key], lyes, on),
            _batch(made[key]) if key in made else "",
        )
        for key in {*flows, *made}
    ]
    batches = [
        BatchFacts(
            _batch(row),
            row.plan.stage.stage,
            None if row.plan.stage.makes.counted else row.plan.comes_out,
        )
        for row in stages
    ]
    last = stages[-1].plan.stage.makes.key
    return contents(lots, batches)[_code(last)]


def _batch(row: PlannedStage) -> str:
    return f"stage {row.plan.stage.key}"


def _started(
    key: int, made: Mapping[int, PlannedStage], flows: Mapping[int, list[Flow]]
) -> Decimal:
    if key in made:
        return made[key].plan.comes_out
    return -sum((flow.amount for flow in flows[key]), Decimal(0))


def _supplied(item: Item, lyes: Mapping[str, Lye], on: date) -> Supplied:
    """A material as its card has it; an alkali as pure as the plan takes it."""
    values: tuple[Value, ...] = ()
    if item.alkali in lyes:
        lye = lyes[item.alkali]
        values = (
            Value(on, "purity", lye.purity),
            Value(on, "carbonate", lye.carbonate),
        )
    elif item.acid:
        values = (Value(on, "purity", Decimal(1)),)
    return supplied(Lot(item=item), values)


def _containers(
    stages: tuple[PlannedStage, ...], items: Mapping[int, Item]
) -> tuple[str, ...]:
    last = (items[taken.need.item.key] for taken in stages[-1].taken)
    return tuple(one.name for one in last if one.serves_as == Item.Serves.CONTAINER)
