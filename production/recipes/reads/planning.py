"""What a plan needs of the book, and the plan itself: the one way to the planner."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal

from production.chemistry.domain.dilution import strength_after
from production.chemistry.domain.pot import alkalis_used
from production.contents.reads.reweighing import soap_content
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Lye
from production.recipes.domain.scaling.chain import (
    OILS,
    OUT,
    TOGETHER,
    Chain,
    Stage,
    Target,
    chain_of,
)
from production.recipes.domain.scaling.goods import Material
from production.recipes.domain.scaling.kettle import Kettle
from production.recipes.domain.scaling.limits import Limits
from production.recipes.domain.scaling.plans import (
    CookPlan,
    DilutionPlan,
    FillingPlan,
    Line,
    SharePlan,
)
from production.recipes.domain.scaling.plans import Tub as Weighed
from production.recipes.domain.scaling.settle import Known, settle
from production.recipes.domain.scaling.stock_view import StockView
from production.recipes.domain.scaling.work_out import Facts, PlannedStage, work_out
from production.recipes.models.formulas import Version
from production.recipes.reads.chain import (
    any_water,
    chain_as_made,
    lines_by_version,
    water_among,
)
from production.recipes.reads.cooking import balance_step, material, own_values
from production.recipes.reads.packs import stock_view_of
from production.recipes.reads.tubs import Tub, tubs_to_weigh
from production.record.reads.clock import today
from production.stock.domain.ledger import Candidate
from production.stock.models.batches import Batch
from production.stock.models.batches import Stage as Kind
from production.stock.models.lots import Lot
from production.workshop.models.items import Item
from production.workshop.models.places import Vessel
from production.yields.domain.losses import Loss

NOTHING: StockView = StockView({})


def facts_of(
    chain: Chain, on: date, *, ready: bool = False, paste: Lot | None = None
) -> Facts:
    """What stands ready of everything that a chain takes or makes, with certificates
    of its oils; six queries.

    ``ready`` uses what stands ready of things made here first; ``paste`` is one lot
    that a person named to be used first. Refused where that one cannot be.
    """
    keys = {item.key for item in chain.takes}
    keys |= {stage.makes.key for stage in chain.stages}
    cooks = [stage.plan for stage in chain.stages if isinstance(stage.plan, CookPlan)]
    keys |= {tub.item.key for plan in cooks for tub in plan.tubs.values()}
    oils = {line.item.key for plan in cooks for line in plan.oils if line.item}
    stock = stock_view_of(keys - {0}, on)
    codes = [lot.code for item in oils for lot in stock.lots[item]]
    stock.own = own_values(codes) if codes else {}
    first = {stage.makes.key for stage in chain.stages} if ready else set()
    if paste is not None:
        if soap_content(paste, on) is None:
            raise Refused(f"The soap content of {paste} is not in the book: note it.")
        first.add(paste.item_id)
        stock.lots[paste.item_id] = [_named(chain, paste, stock, on)]
    pastes = _pastes(chain, stock, on) if first else {}
    return Facts(stock, on, balance_step(), frozenset(first), pastes)


def _named(chain: Chain, paste: Lot, stock: StockView, on: date) -> Candidate:
    """The paste that a person named, where these recipes take it and it may be used."""
    plans = (stage.plan for stage in chain.stages)
    taken = {one.paste.key for one in plans if isinstance(one, DilutionPlan)}
    if paste.item_id not in taken:
        raise Refused(f"{paste} is {paste.item}: none of these recipes dilutes it.")
    for lot in stock.lots.get(paste.item_id, ()):
        if lot.code == paste.code and lot.on_hand > 0:
            return lot
    raise Refused(
        f"{paste} does not stand ready on {on}: it is used up, or may not be used yet. "
        "Leave it out, or choose another."
    )


def alkalis_of(chain: Chain) -> set[str]:
    """The alkalis that the cooks of a chain take."""
    return {
        alkali
        for stage in chain.stages
        if isinstance(stage.plan, CookPlan)
        for alkali in alkalis_used(stage.plan.terms.koh_share)
    }


def with_tubs(chain: Chain, tubs: Iterable[Tub]) -> Chain:
    """The chain with its cooks worked out from these tubs."""
    found = [Weighed(material(tub.lot.item), tub.lye) for tub in tubs]
    return settle(chain, tubs=found)


def _pastes(chain: Chain, stock: StockView, on: date) -> dict[int, Known]:
    """The soap content of what stands ready to be diluted, of the first lot to go."""
    plans = (stage.plan for stage in chain.stages)
    keys = [plan.paste.key for plan in plans if isinstance(plan, DilutionPlan)]
    first = filter(None, (stock.first(key) for key in keys))
    lots = Lot.objects.filter(code__in=list(first)).select_related("item")
    known = {lot.item_id: soap_content(lot, on) for lot in lots}
    return {item: Known(one.share, one.whence) for item, one in known.items() if one}


def with_lyes(chain: Chain, lyes: Mapping[str, Lye]) -> Chain:
    """The same where only strengths are known and no tub."""
    return settle(
        chain,
        tubs=[
            Weighed(material(Item(pk=-place, name=alkali, alkali=alkali)), lye)
            for place, (alkali, lye) in enumerate(lyes.items(), start=1)
        ],
    )


def kettle_of(chain: Chain, vessel: Vessel, first_cook: bool) -> Kettle:
    """In one query. It is a first cook where somebody says so, and where no batch of
    the recipe is in the book."""
    cooks = [stage for stage in chain.stages if isinstance(stage.plan, CookPlan)]
    cooked = set(
        Batch.objects.filter(
            stage=Kind.COOK, version__formula__in=[stage.formula for stage in cooks]
        ).values_list("version__formula", flat=True)
    )
    first = {s.key for s in cooks if first_cook or s.formula not in cooked}
    return Kettle(vessel.volume, frozenset(first))


@dataclass(frozen=True, slots=True)
class OneBatch:
    """One batch to be planned as it will be written: of which recipe, and how much.

    ``loss`` is typed. ``tubs`` are the lots chosen of each alkali, ``paste`` the lot
    that is diluted, and ``dilution`` how; ``vessel`` what it is made in.
    """

    version: Version | None
    target: Target
    loss: Decimal | None = None
    tubs: Mapping[str, Lot | None] = field(default_factory=dict)
    paste: Lot | None = None
    dilution: DilutionPlan | None = None
    vessel: Vessel | None = None

    @property
    def lots(self) -> list[Lot]:
        """Those that a person named."""
        return [lot for lot in (*self.tubs.values(), self.paste) if lot is not None]


def one_batch(batch: OneBatch, on: date) -> tuple[PlannedStage, StockView]:
    """The plan of one batch, and the stock that it draws from; some twenty queries."""
    chain, target = _chain_of(batch), batch.target
    used = alkalis_of(chain)
    missing = [alkali for alkali in sorted(used) if not batch.tubs.get(alkali)]
    tubs = tubs_to_weigh(used - set(missing), batch.tubs, by_itself=False)
    if missing:
        chain, target = _lines_alone(chain, missing), Target(target.amount, TOGETHER)
    else:
        chain = with_tubs(chain, tubs.values())
    if batch.loss is not None:
        typed = Loss(batch.loss, "as typed")
        chain = settle(chain, losses={row.key: typed for row in chain.stages})
    facts = facts_of(chain, on)
    if batch.paste is not None:
        lots = facts.stock.lots.get(batch.paste.item_id, ())
        of_it = [lot for lot in lots if lot.code == batch.paste.code]
        facts.stock.lots[batch.paste.item_id] = of_it
    stage = chain.stages[0]
    if stage.loss is None and target.of == OUT:
        target = replace(target, of=TOGETHER)
    vessel = batch.vessel if alkalis_of(chain) else None
    kettle = kettle_of(chain, vessel, first_cook=False) if vessel else None
    plan = work_out(chain, {stage.key: target}, facts, Limits(kettle=kettle))
    found = plan.stages[0]
    return replace(found, remarks=(*plan.remarks, *found.remarks)), facts.stock


def _chain_of(batch: OneBatch) -> Chain:
    if batch.version is not None:
        chain = chain_as_made(batch.version, alone=True)
    else:
        name, grams = "This dilution", Material(-1, "Diluted soap", kind="made")
        stage = Stage(0, name, Kind.DILUTION, grams, SharePlan(()))
        chain = chain_of([stage], any_water())
    if batch.dilution is None:
        return chain
    stage = replace(chain.stages[0], plan=batch.dilution)
    return replace(chain, stages=(stage,))


def _lines_alone(chain: Chain, missing: Sequence[str]) -> Chain:
    """A cook whose tub nobody has named yet: its lines for so many grams of oils, with
    neither lye nor water nor what comes out."""
    stage = chain.stages[0]
    assert isinstance(stage.plan, CookPlan)
    lines = tuple(Line(ln.item, ln.share) for ln in stage.plan.lines if ln.item)
    said = tuple(
        f"Type the code of the {alkali} lot: its purity decides." for alkali in missing
    )
    bare = replace(stage, plan=FillingPlan(lines), loss=None, remarks=said)
    return replace(chain, stages=(bare,))


def dilution_of(
    paste: Lot,
    version: Version | None,
    on: date,
    *,
    content: Decimal | None = None,
    target: Decimal | None = None,
    parts: Decimal | None = None,
) -> DilutionPlan:
    """How a paste is diluted: its soap content as typed or as the book knows it, to the
    content wanted or by parts of water, else as the recipe says it, and what that adds.

    A recipe that names no content, or a paste of which nobody knows it, goes by the
    share of paste. Refused where that is not named either, and where more is wanted
    than the paste holds.
    """
    known = None if content is not None else soap_content(paste, on)
    source = known.whence if known else "as typed"
    content = known.share if known else content
    lines = [] if version is None else lines_by_version([version.pk])[version.pk]
    share = next((ln.share for ln in lines if ln.item_id == paste.item_id), None)
    if lines and share is None:
        raise Refused(
            f"{version} does not take {paste.item}, which {paste} is: choose a paste "
            "that it names, or no recipe."
        )
    if content is None and (parts is not None or target is not None or not share):
        raise Refused(f"The soap content of {paste} is not in the book: write it.")
    if parts is not None and content is not None:
        target = strength_after(content, parts)
    target = target or (version.target_soap if version else None)
    if target is None and not share:
        raise Refused("Write the soap content that is wanted, or parts of water.")
    if target is not None and content is not None and target > content:
        raise Refused(
            f"A paste of {round(content * 100, 1)} % soap cannot be diluted to "
            f"{round(target * 100, 1)} %: ask for less, or cook a drier paste."
        )
    comes_to = (content or Decimal(0)) * (share or Decimal(0))
    return DilutionPlan(
        paste=material(paste.item),
        target=comes_to if target is None else target,
        content=None if target is None else content,
        share=share,
        others=tuple(
            Line(material(line.item), line.share)
            for line in lines
            if line.share is not None
            and line.item_id != paste.item_id
            and line.item.category != Item.Category.WATER
        ),
        source=source,
        water=water_among(material(line.item) for line in lines),
    )


def water_at_hand(on: date) -> str:
    """The code of the water that is taken first, the name of one on tap, or ""."""
    water = any_water()
    if water.on_tap or not water.key:
        return water.name if water.on_tap else ""
    return stock_view_of({water.key}, on).first(water.key)


def recipes_alone(
    versions: Sequence[Version], lyes: Mapping[str, Lye]
) -> list[PlannedStage]:
    """Recipes as they are worded, from no lot, with what their batches lost: for
    1,000 g of oils, or of what is mixed, or for 100 pieces."""
    chain = with_lyes(chain_as_made(*versions, alone=True), lyes)
    facts = Facts(NOTHING, today(), balance_step())
    return [
        work_out(chain, {version.pk: _a_kilo(chain.stage(version.pk))}, facts).stages[0]
        for version in versions
    ]


def as_worded(
    stage: str,
    parts: Sequence[tuple[Item, Decimal | None, Decimal | None]],
    loss: Loss | None = None,
) -> PlannedStage:
    """A recipe that is being written, from (item, share, for each piece), for 1,000 g
    or 100 pieces. Refused where something that is weighed is named for each piece."""
    counted = stage in (Kind.FILLING, Kind.PACKING)
    for item, share, _ in parts:
        if share is None and not counted:
            raise Refused(f"This is weighed: write {item} as a share.")
    lines = tuple(
        Line(material(item), (each if share is None else share) or Decimal(0))
        for item, share, each in parts
    )
    unit = Item.Unit.PIECE if counted else Item.Unit.GRAM
    made = Material(-1, "What is made", str(unit), kind="made")
    plan = FillingPlan(lines) if counted else SharePlan(lines)
    one = Stage(0, "This recipe", stage, made, plan, loss)
    facts = Facts(NOTHING, today(), balance_step())
    return work_out(chain_of([one], any_water()), {0: _a_kilo(one)}, facts).stages[0]


def items_of(stages: Iterable[PlannedStage]) -> dict[int, Item]:
    """The cards behind some planned stages, in one query."""
    stages = list(stages)
    keys = {taken.need.item.key for row in stages for taken in row.taken}
    keys |= {row.plan.stage.makes.key for row in stages}
    return Item.objects.in_bulk(keys - {0})


def _a_kilo(stage: Stage) -> Target:
    if stage.makes.counted:
        return Target(Decimal(100), OUT if stage.loss else TOGETHER)
    oils = isinstance(stage.plan, CookPlan)
    return Target(Decimal(1000), OILS if oils else TOGETHER)
