"""Batch sheets from what was planned: lots, steps with the clock, checks, cautions."""

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from datetime import date, time
from decimal import Decimal

from production.chemistry.domain.titration import DROP_TEST
from production.fitness.reads.rows import load
from production.planning.domain.batch_sheet import BatchSheet, Check
from production.planning.domain.lines import Kind, SheetLine, Tare
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.clock_steps import ClockStep, parse_steps
from production.recipes.domain.pot import GoesIn
from production.recipes.domain.scaling.work_out import Plan, PlannedStage
from production.recipes.models.formulas import Formula, Version, VersionCheck
from production.record.models.workshop import Workshop
from production.stock.models.batches import Stage
from production.stock.models.lots import Lot
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item
from production.workshop.models.places import Vessel
from production.yields.domain.losses import Loss

WHAT = Measurement.What
UNITS = {WHAT.TEMPERATURE: "°C", WHAT.DENSITY: "g/mL", WHAT.THICKNESS: "mPa·s"}
ROLES: dict[str, Kind] = {
    Item.Category.OIL: "oil",
    Item.Category.WATER: "water",
    Item.Category.ALKALI: "alkali",
    Item.Category.ACID: "acid",
    Item.Category.FRAGRANCE: "fragrance",
}
# What is made here and goes on as soap; a brine does not.
SOAPS = {Stage.COOK, Stage.DILUTION, Stage.FINISHING, Stage.REWORK}


@dataclass(frozen=True, slots=True)
class Draw:
    """So much of an item, out of one lot or, without a code, out of none yet."""

    item: Item
    code: str
    amount: Decimal
    expires: date | None = None
    note: str = ""
    goes_in: GoesIn = ""
    soap: bool = False


@dataclass(frozen=True, slots=True)
class Occasion:
    """When it is made and in what."""

    on: date
    start: time | None = None
    vessel: Vessel | None = None
    mark: str = ""


def sheet_of(
    stage: str,
    version: Version | None,
    makes: Item | None,
    draws: Iterable[Draw],
    occasion: Occasion,
    *,
    expected: Decimal | None,
    loss_text: str = "",
    remarks: Sequence[str] = (),
    cautions: Sequence[str] = (),
    still_caustic: bool = False,
) -> BatchSheet:
    """One stage's sheet; ``version`` with its formula and checks at hand.

    ``cautions`` are read before anything is weighed, ``remarks`` at the end.
    """
    workshop = Workshop.objects.first() or Workshop(name="")
    vessel = occasion.vessel
    counted = makes is not None and makes.unit == Item.Unit.PIECE
    return BatchSheet(
        workshop=workshop.name,
        version=str(version) if version else "",
        digest=version.digest if version else "",
        stage=stage,
        makes=str(makes) if makes else "",
        batch_mark=occasion.mark,
        date=occasion.on,
        start=occasion.start,
        lines=tuple(_line(draw) for draw in draws),
        tare=Tare(vessel.name, vessel.tare) if vessel else None,
        steps=_steps(version, occasion.start),
        checks=_checks(stage, version, still_caustic),
        cautions=tuple(cautions),
        expected=expected,
        expected_unit="piece" if counted else "g",
        loss_text=loss_text,
        emergency=tuple(filter(None, workshop.emergency.splitlines())),
        remarks=tuple(remarks),
        units=workshop.units,
        still_caustic=still_caustic,
    )


def _line(draw: Draw) -> SheetLine:
    item = draw.item
    kind = ROLES.get(item.category, "additive")
    if item.kind == Item.Kind.PACKAGING:
        kind = "packaging"
    elif draw.soap:
        kind = "soap"
    return SheetLine(
        item=item.name,
        lot=draw.code,
        target=draw.amount,
        unit=item.unit,
        kind=kind,
        expires=draw.expires,
        note=draw.note,
        goes_in=draw.goes_in,
    )


def _steps(version: Version | None, start: time | None) -> tuple[ClockStep, ...]:
    if version is None:
        return ()
    try:
        return parse_steps(version.steps, start)
    except Refused:
        # Written before times had a form: the lines stand as they are.
        lines = filter(None, map(str.strip, version.steps.splitlines()))
        return tuple(ClockStep(None, "", line) for line in lines)


def _checks(stage: str, version: Version | None, caustic: bool) -> tuple[Check, ...]:
    """Those of the recipe; lye in the pot always asks whether it is used up."""
    asked = [] if version is None else list(version.checks.all())
    checks = [_check(row) for row in asked]
    wants = stage in (Stage.COOK, Stage.REWORK) or caustic
    wants = wants or (version is not None and version.release == "check")
    if version is not None and version.lye_excess:
        wants = False
    if wants and all(check.what != WHAT.NEUTRALITY for check in checks):
        checks.append(Check(WHAT.NEUTRALITY, how=DROP_TEST))
    return tuple(checks)


def _check(row: VersionCheck) -> Check:
    share = row.what in Measurement.SHARES
    low, high = (
        limit * 100 if share and limit is not None else limit
        for limit in (row.low, row.high)
    )
    how = row.how or (DROP_TEST if row.what == WHAT.NEUTRALITY else "")
    unit = "%" if share else UNITS.get(row.what, "")
    return Check(row.what, low, high, unit, how)


def draw_of(row: Mapping, soaps: Set[int]) -> Draw:
    """A proposed row of the page where a batch is written up; see ``soaps_of``."""
    item = row["item"]
    code = "the tap" if item.on_tap else row["lot"]
    goes_in = row.get("goes_in", "")
    return Draw(item, code, row["exact"], goes_in=goes_in, soap=item.pk in soaps)


def soaps_of(items: Iterable[Item]) -> set[int]:
    """The keys of what is made here, weighed, and goes on as soap; one query.

    Soap is what a cook, a dilution, a finishing or a rework makes, and what no recipe
    does: rather one caution too many.
    """
    made = {
        item.pk
        for item in items
        if item.kind == Item.Kind.MADE and item.unit == Item.Unit.GRAM
    }
    stages: dict[int, set[str]] = {key: set() for key in made}
    for key, stage in Formula.objects.filter(makes__in=made).values_list(
        "makes", "stage"
    ):
        stages[key].add(stage)
    return {key for key, found in stages.items() if not found or found & SOAPS}


def any_caustic(draws: Iterable[Draw]) -> bool:
    """Whether soap goes in that no passed check has cleared."""
    codes = [draw.code for draw in draws if draw.soap and draw.code]
    lots = list(Lot.objects.filter(code__in=codes))
    family = load(lots).family(date.max)
    return any(family.open_points(lot.code) for lot in lots)


def sheets_of(
    planned: Plan,
    items: Mapping[int, Item],
    versions: Mapping[int, Version],
    occasion: Occasion,
    cautions: Sequence[str] = (),
) -> list[BatchSheet]:
    """The sheets of a plan, in the order of the work; ``cautions`` for its cooks."""
    soaps = soaps_of(items.values())
    return [
        _planned_sheet(
            row,
            items,
            versions[row.plan.stage.key],
            replace(occasion, on=row.begins)
            if row.is_cook
            else Occasion(row.begins, mark=occasion.mark),
            soaps,
            cautions if row.is_cook else (),
        )
        for row in planned.stages
    ]


def _planned_sheet(
    row: PlannedStage,
    items: Mapping[int, Item],
    version: Version,
    occasion: Occasion,
    soaps: Set[int],
    cautions: Sequence[str],
) -> BatchSheet:
    stage = row.plan.stage
    return sheet_of(
        stage.stage,
        version,
        items.get(stage.makes.key),
        _draws(row, items, soaps),
        occasion,
        expected=row.comes_out,
        loss_text=_loss(stage.loss),
        remarks=(*row.how_sure, *row.remarks),
        cautions=cautions,
    )


def _draws(row: PlannedStage, items: Mapping[int, Item], soaps: Set[int]) -> list[Draw]:
    """Lot by lot, then what the stage before makes, then what is not there."""
    draws = []
    for taken in row.taken:
        item = items.get(taken.need.item.key)
        if item is None:
            item = Item(name=taken.need.item.name, category=Item.Category.WATER)
        place, soap = taken.goes_in, item.pk in soaps
        for share in taken.shares:
            code = "the tap" if item.on_tap else share.code
            expires = share.expires
            draws.append(Draw(item, code, share.amount, expires, "", place, soap))
        if taken.made_above:
            note = "from the stage before"
            draws.append(Draw(item, "", taken.made_above, None, note, place, soap))
        if taken.short:
            note = "not in stock"
            draws.append(Draw(item, "", taken.short, None, note, place, soap))
    return draws


def _loss(loss: Loss | None) -> str:
    if loss is None:
        return ""
    return f"{plain(loss.share * 100)} %, {loss.source}"
