"""The one planner: from what is wanted, or what there is, to the weighed rows.

Amounts are solved unrounded through the chain, drawn from the lots there are (whose
certificates change the amounts a little, so it goes round until it stands), and rounded
once, at the end, to what the balance shows.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, localcontext

from production.chemistry.domain.constants import EXACT
from production.quantities.domain.numbers import ZERO, grams
from production.quantities.domain.refusal import Refused
from production.recipes.domain import pot as pots
from production.recipes.domain.cooking import Cooked, cook
from production.recipes.domain.mixing import remarks
from production.recipes.domain.scaling.chain import (
    Chain,
    ChainPlan,
    StagePlan,
    Target,
    plan_back,
)
from production.recipes.domain.scaling.draw import Taken, take, with_certificates
from production.recipes.domain.scaling.goods import (
    Material,
    Need,
    Short,
    shortage,
    summed,
)
from production.recipes.domain.scaling.kettle import Kettle
from production.recipes.domain.scaling.limits import NONE, Limits, bound_by, reached
from production.recipes.domain.scaling.plans import (
    CookPlan,
    DilutionPlan,
    FillingPlan,
    SharePlan,
    Tub,
)
from production.recipes.domain.scaling.settle import FROM_THE_COOK, Known, settle
from production.recipes.domain.scaling.stock_view import StockView

CLOSER = 12


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known on the day: the stock, and the step of the balance in grams.

    ``ready`` are the keys of things made here that are used first where they stand
    ready; ``pastes`` is the soap content of a paste that does, by its key.
    """

    stock: StockView
    on: date
    step: Decimal = ZERO
    ready: frozenset[int] = frozenset()
    pastes: Mapping[int, Known] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PlannedStage:
    """A stage in the order of the work, as it is weighed.

    ``comes_out`` is what should be left of what is weighed, in whole milligrams or
    pieces, and None where no loss is known. It is begun on a day and ready on another.
    """

    plan: StagePlan
    taken: tuple[Taken, ...]
    together: Decimal
    comes_out: Decimal | None
    begins: date
    ready: date
    cooked: Cooked | None = None
    remarks: tuple[str, ...] = ()

    @property
    def is_cook(self) -> bool:
        """Whether lye is weighed in it."""
        return self.cooked is not None

    @property
    def loss(self) -> Decimal | None:
        """The share of loss that it is planned with; None where none is known."""
        loss = self.plan.stage.loss
        return loss.share if loss else None

    @property
    def tubs(self) -> tuple[Tub, ...]:
        """The tubs of a cook."""
        plan = self.plan.stage.plan
        return tuple(plan.tubs.values()) if isinstance(plan, CookPlan) else ()

    @property
    def lyes(self) -> dict[str, pots.Lye]:
        """What is known of each alkali it is worked out with."""
        plan = self.plan.stage.plan
        return plan.lyes if isinstance(plan, CookPlan) else {}

    @property
    def how_sure(self) -> tuple[str, ...]:
        """The tubs, the lye and the superfat of a cook as sentences, for a sheet."""
        return self.cooked.how_sure(self.lyes) if self.cooked else ()

    @property
    def oils(self) -> Decimal | None:
        """Grams of oils as they are weighed; None unless it is a cook."""
        if self.cooked is None:
            return None
        return sum((line.grams for line in self.cooked.lines if line.is_fat), ZERO)

    @property
    def content(self) -> Decimal | None:
        """The soap content that its paste should have."""
        return self.cooked.soap_content if self.cooked else None


@dataclass(frozen=True, slots=True)
class Plan:
    """Stages from the kettle to the bottles, what is short, and when it can be sold.

    ``bound_by`` says what decided how much, where a limit did; else it is "".
    """

    stages: tuple[PlannedStage, ...]
    buy: tuple[Short, ...]
    first_sale: date
    bound_by: str = ""
    remarks: tuple[str, ...] = ()

    def stage(self, key: int) -> PlannedStage:
        """The planned stage of one wording."""
        return next(row for row in self.stages if row.plan.stage.key == key)


def work_out(
    chain: Chain,
    wanted: Mapping[int, Target | None],
    facts: Facts,
    limits: Limits = NONE,
) -> Plan:
    """Plan a chain for what is wanted of its stages, by their keys.

    None asks for as much as the limits give. Refused, saying what to write, where a
    figure is not known or cannot be.
    """
    certified, bound, settled = chain, None, None
    for _ in range(CLOSER):
        bound = reached(certified, wanted, limits, facts.stock, facts.step)
        targets = dict(bound.wanted) if bound else wanted
        plan = plan_back(
            certified,
            {key: one for key, one in targets.items() if one is not None},
            _ready(facts),
            facts.step,
        )
        stages = _weighed_out(plan, facts, chain.water)
        if settled == [row.taken for row in stages]:
            break
        settled = [row.taken for row in stages]
        cooks = [taken for row in stages if row.is_cook for taken in row.taken]
        certified = with_certificates(chain, cooks, facts.stock)
        certified = _with_pastes(certified, stages, facts.pastes)
        if certified is chain:
            break
    return Plan(
        stages=tuple(stages),
        buy=_to_buy(stages, facts.stock),
        first_sale=max(row.ready for row in stages),
        bound_by=bound_by(bound.bound_by, limits) if bound else "",
        remarks=_of_the_kettle(stages, limits.kettle),
    )


def _with_pastes(
    chain: Chain, stages: Sequence[PlannedStage], pastes: Mapping[int, Known]
) -> Chain:
    """The chain with the soap content of each paste as it is mixed: of what stands
    ready so much, of what is cooked the rest."""
    contents = {}
    for row in stages:
        paste = row.taken[0] if isinstance(row.plan.stage.plan, DilutionPlan) else None
        if paste is None or (known := pastes.get(paste.need.item.key)) is None:
            continue
        cooked = _cooked_content(chain, paste.need.item.key)
        held = sum((share.amount for share in paste.shares), ZERO)
        if cooked is None or held >= paste.need.amount:
            contents[paste.need.item.key] = known
        elif held:
            with localcontext(EXACT):
                part = held / paste.need.amount
                mixed = known.value * part + cooked * (1 - part)
            source = f"{known.source}, and {FROM_THE_COOK}"
            contents[paste.need.item.key] = Known(mixed, source)
    return settle(chain, contents=contents) if contents else chain


def _cooked_content(chain: Chain, key: int) -> Decimal | None:
    contents = (st.content for st in chain.stages if st.makes.key == key)
    return next((content for content in contents if content is not None), None)


def _ready(facts: Facts) -> dict[int, Decimal]:
    held = facts.stock.on_hand()
    return {key: held[key] for key in facts.ready if key in held}


def _weighed_out(plan: ChainPlan, facts: Facts, water: Material) -> list[PlannedStage]:
    """Lots to every need, in the order of the work, with the days it takes."""
    stock = facts.stock.untouched()
    made = dict.fromkeys((row.stage.makes.key for row in plan.stages), ZERO)
    rested: dict[int, date] = {}
    stages = []
    for row in reversed(plan.stages):
        needs, cooked = _on_the_balance(row, facts.step, water)
        goes_in = _places(row)
        taken = tuple(
            take(
                need,
                row,
                stock,
                made,
                ready=facts.ready,
                step=facts.step,
                goes_in=goes_in.get(need.item.key, ""),
            )
            for need in needs
        )
        together = _grams_of([one.need for one in taken])
        comes_out = _should_come_out(row, together)
        made[row.stage.makes.key] += together if comes_out is None else comes_out
        begins = max(
            (rested.get(n.item.key, facts.on) for n in needs), default=facts.on
        )
        done = _later(begins, row.stage.work_days + row.stage.rest_days, row.stage.name)
        before = rested.get(row.stage.makes.key, done)
        rested[row.stage.makes.key] = max(before, done)
        stages.append(
            PlannedStage(
                plan=row,
                taken=taken,
                together=together,
                comes_out=comes_out,
                begins=begins,
                ready=done,
                cooked=cooked,
                remarks=row.stage.remarks
                + (cooked.remarks if cooked else _said_of(row, taken)),
            )
        )
    return stages


def _on_the_balance(
    row: StagePlan, step: Decimal, water: Material
) -> tuple[tuple[Need, ...], Cooked | None]:
    plan, stage = row.stage.plan, row.stage
    if not isinstance(plan, CookPlan):
        up = ROUND_CEILING if isinstance(plan, FillingPlan) else ROUND_HALF_UP
        needs = [need.on_balance(step, up) for need in summed(row.goes_in)]
        return tuple(need for need in needs if need.amount), None
    assert row.oils is not None
    terms = replace(plan.terms, loss=stage.loss.share if stage.loss else None)
    cooked = cook(plan.lines, terms, plan.lyes, row.oils, step)
    return _needs_of(cooked, plan, water), cooked


def _needs_of(cooked: Cooked, plan: CookPlan, water: Material) -> tuple[Need, ...]:
    """In the order of the hands: oils, water, alkali into it, and what comes last."""
    result = cooked.result
    lines = [ln for ln in cooked.lines if ln.item and ln.goes_in != pots.LATE]
    last = [ln for ln in cooked.lines if ln.item and ln.goes_in == pots.LATE]
    weighed = {"KOH": result.koh_weighed, "NaOH": result.naoh_weighed}
    needs = [Need(line.item, line.grams) for line in lines if line.item]
    needs.append(Need(plan.lye_water_of(water), result.lye_water or ZERO))
    needs += [Need(tub.item, weighed[name]) for name, tub in plan.tubs.items()]
    needs += [Need(line.item, line.grams) for line in last if line.item]
    return tuple(need for need in summed(needs) if need.amount)


def _places(row: StagePlan) -> dict[int, pots.GoesIn]:
    plan = row.stage.plan
    if not isinstance(plan, CookPlan):
        return {}
    return {ln.item.key: ln.goes_in for ln in plan.lines if ln.item}


def _grams_of(needs: Sequence[Need]) -> Decimal:
    return sum((need.amount for need in needs if not need.item.counted), ZERO)


def _should_come_out(row: StagePlan, together: Decimal) -> Decimal | None:
    if row.stage.loss is None:
        return None
    if row.stage.makes.counted:
        return row.comes_out
    return grams(row.stage.loss.after(together))


def _said_of(row: StagePlan, taken: Sequence[Taken]) -> tuple[str, ...]:
    plan = row.stage.plan
    if isinstance(plan, SharePlan):
        return remarks(plan.lines, row.stage.stage)
    if not isinstance(plan, DilutionPlan):
        return ()
    paste, said = taken[0], remarks(plan.others, row.stage.stage)
    if len(paste.shares) + bool(paste.made_above) < 2:
        return said
    several = (
        f"{paste.need.item.name} comes from several pots: dilute each by itself, since "
        "their soap contents differ."
    )
    return (*said, several)


def _later(on: date, days: int, name: str) -> date:
    try:
        return on + timedelta(days=days)
    except OverflowError as fault:
        raise Refused(
            f"{name} would be ready after the end of the calendar: check the day and "
            "its rest."
        ) from fault


def _to_buy(stages: Sequence[PlannedStage], stock: StockView) -> tuple[Short, ...]:
    makes = {row.plan.stage.makes.key for row in stages}
    needs = [taken.need for row in stages for taken in row.taken]
    bought = [need for need in needs if need.item.key not in makes]
    held, there = stock.on_hand(), {}
    for need in bought:
        there[need.item.key] = held.get(need.item.key, ZERO)
    # Of an alkali only the tub whose strength was counted with.
    for tub in (tub for row in stages for tub in row.tubs):
        there[tub.item.key] = stock.held(tub.item.key, tub.lye.source)
    return tuple(row for row in shortage(bought, there) if row.short)


def _of_the_kettle(
    stages: Sequence[PlannedStage], kettle: Kettle | None
) -> tuple[str, ...]:
    if kettle is None:
        return ()
    said = (kettle.remark(row.plan) for row in stages)
    return tuple(sentence for sentence in said if sentence)
