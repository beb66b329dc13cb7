"""The recipes behind a recipe, as plain values, from filling back to cook."""

from collections.abc import Iterable, Mapping, Sequence, Set
from decimal import Decimal
from types import MappingProxyType

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from production.quantities.domain.refusal import Refused
from production.recipes.domain.clock_steps import nights
from production.recipes.domain.scaling.chain import Chain, Plan, Stage, chain_of
from production.recipes.domain.scaling.goods import WATER, Material
from production.recipes.domain.scaling.plans import (
    CookPlan,
    DilutionPlan,
    FillingPlan,
    Line,
    SharePlan,
)
from production.recipes.domain.scaling.settle import settle
from production.recipes.models.formulas import TERMS, Version, VersionLine
from production.recipes.reads.cooking import CookFacts, material, of_cooks, terms_of
from production.recipes.reads.experience import median_losses
from production.recipes.reads.packs import open_packs
from production.record.reads.clock import today
from production.stock.models.batches import Stage as Kind
from production.workshop.models.items import Item
from production.yields.domain.losses import Loss


def chain_as_made(*versions: Version, alone: bool = False) -> Chain:
    """The recipes behind some wordings, or those ``alone``, with what the batches of
    each lost, where there are any: that comes before what the recipe expects. Ten
    queries at most.
    """
    chain = chain_alone(*versions) if alone else chain_to(*versions)
    learnt = median_losses(stage.formula for stage in chain.stages)
    found = ((stage.key, learnt[stage.formula]) for stage in chain.stages)
    return settle(chain, losses={key: lost.loss for key, lost in found if lost})


def chain_to(*versions: Version) -> Chain:
    """The wordings behind some fillings (or any other stage), in seven queries.

    Behind each item made here stands the latest wording of the recipe that makes it;
    of several recipes the one that was worded last, and never a rework. An item made
    here without a recipe has no stage. The loss is what the recipe expects, None where
    it does not say. Refused where recipes go in a circle, and where a line cannot be
    scaled.
    """
    asked = {version.pk for version in versions}
    wordings = {row.pk: row for row in _wordings(asked)}
    lines = lines_by_version(wordings)
    makers = _makers(wordings.values(), asked)
    found = _behind([version.pk for version in versions], lines, makers)
    return chain_of(_stages([wordings[pk] for pk in found], lines), any_water())


def latest_wording(made: Item) -> Version:
    """The wording by which an item is made, the last one; refused where none is."""
    found = latest_wordings([made]).get(made.pk)
    if found is None:
        raise Refused(f"No recipe makes {made}: write one first.")
    return found


def latest_wordings(made: Iterable[Item]) -> dict[int, Version]:
    """The same of several by their keys, in two queries; without those of no recipe."""
    keys = [item.pk for item in made]
    wordings = _wordings(set()).filter(formula__makes__in=keys)
    makers = _makers(wordings, set())
    rows = Version.objects.select_related("formula__makes").in_bulk(makers.values())
    return {item: rows[pk] for item, pk in makers.items()}


def chain_alone(*versions: Version) -> Chain:
    """These wordings and nothing behind them, in six queries."""
    rows = list(
        Version.objects.filter(pk__in=[row.pk for row in versions]).select_related(
            "formula__makes"
        )
    )
    lines = lines_by_version(row.pk for row in rows)
    return chain_of(_stages(rows, lines), any_water())


def _stages(
    wordings: Sequence[Version], lines: Mapping[int, Sequence[VersionLine]]
) -> list[Stage]:
    cooked = {
        row.formula.makes_id for row in wordings if row.formula.stage == Kind.COOK
    }
    items = [line.item for row in wordings for line in lines[row.pk]]
    known = of_cooks(items) if cooked else CookFacts()
    return [_stage(row, lines[row.pk], cooked, known) for row in wordings]


def lines_by_version(wordings: Iterable[int]) -> dict[int, list[VersionLine]]:
    """The lines of some wordings, by the key of each; one query."""
    found: dict[int, list[VersionLine]] = {pk: [] for pk in wordings}
    rows = VersionLine.objects.filter(version__in=list(found))
    for line in rows.select_related("item__oil").order_by("version", "position"):
        found[line.version_id].append(line)
    return found


def _wordings(asked: set[int]) -> QuerySet[Version]:
    """The latest wording of every formula, and those that were asked for."""
    latest = Version.objects.filter(formula=OuterRef("formula")).order_by("-number")
    return (
        Version.objects.annotate(latest=Subquery(latest.values("pk")[:1]))
        .filter(Q(pk=F("latest")) | Q(pk__in=asked))
        .select_related("formula__makes__oil")
    )


def water_among(items: Iterable[Material]) -> Material | None:
    """The water that a recipe names itself."""
    waters = (item for item in items if item.category == Item.Category.WATER)
    return next(waters, None)


def any_water() -> Material:
    """What stands open, else what is on tap, else the first by name; just water where
    none is in the book."""
    waters = list(
        Item.objects.filter(category=Item.Category.WATER).order_by("-on_tap", "name")
    )
    opened = open_packs(today(), waters) if len(waters) > 1 else {}
    waters.sort(key=lambda item: item.pk not in opened)
    return material(waters[0]) if waters else WATER


def _makers(wordings: Iterable[Version], asked: set[int]) -> dict[int, int]:
    """The wording that makes each item; one that was asked for comes first."""
    makers: dict[int, int] = {}
    for row in sorted(wordings, key=lambda row: (row.pk in asked, row.pk)):
        if row.formula.stage != Kind.REWORK or row.pk in asked:
            makers[row.formula.makes_id] = row.pk
    return makers


def _behind(
    asked: list[int], lines: Mapping[int, list[VersionLine]], makers: Mapping[int, int]
) -> list[int]:
    """Every wording on the way, the ones asked for first."""
    found = list(dict.fromkeys(asked))
    for pk in found:  # grows while it is walked
        for line in lines[pk]:
            maker = makers.get(line.item_id)
            made_here = line.item.kind == Item.Kind.MADE
            if made_here and maker is not None and maker not in found:
                found.append(maker)
    return found


def _stage(
    version: Version, lines: Sequence[VersionLine], cooked: Set[int], known: CookFacts
) -> Stage:
    formula, loss = version.formula, version.loss
    return Stage(
        key=version.pk,
        formula=formula.pk,
        name=formula.name,
        stage=str(formula.stage),
        makes=material(formula.makes),
        plan=plan_of(version, lines, known, cooked),
        loss=None if loss is None else Loss(loss, "as the recipe expects"),
        rest_days=version.rest_days,
        work_days=nights(version.steps),
        terms=MappingProxyType({term: getattr(version, term) for term in TERMS}),
    )


def plan_of(
    version: Version,
    lines: Sequence[VersionLine],
    known: CookFacts,
    cooked: Set[int] = frozenset(),
) -> Plan:
    """What one wording takes; ``cooked`` are the items that a cook is known to make.

    Refused for a line that cannot be scaled.
    """
    if version.formula.makes.unit == Item.Unit.PIECE:
        return FillingPlan(tuple(_for_each(version, line) for line in lines))
    parts = [(line.item, _share(version, line), line.goes_in) for line in lines]
    if version.formula.stage == Kind.COOK:
        return CookPlan(tuple(known.lines(parts)), terms_of(version))
    shares = tuple(Line(material(item), share) for item, share, _ in parts)
    if version.formula.stage == Kind.DILUTION and version.target_soap is not None:
        return _dilution(version, shares, cooked)
    return SharePlan(shares)


def _for_each(version: Version, line: VersionLine) -> Line:
    if line.each is None and line.item.unit != Item.Unit.PIECE:
        raise Refused(
            f"{version.formula} is counted in pieces: write how many grams of "
            f"{line.item} are for each, in a new version."
        )
    amount = line.share if line.each is None else line.each
    return Line(material(line.item), amount)


def _share(version: Version, line: VersionLine) -> Decimal:
    if line.share is None:
        raise Refused(
            f"{version.formula} is weighed: write {line.item} as a share, in a "
            "new version."
        )
    return line.share


def _dilution(
    version: Version, shares: tuple[Line, ...], cooked: Set[int]
) -> DilutionPlan:
    """The paste is what a cook makes, else the first line that is made here."""
    made = [line for line in shares if line.item.kind == Item.Kind.MADE]
    made.sort(key=lambda line: line.item.key not in cooked)
    if not made:
        raise Refused(
            f"{version.formula} names no paste: write it as a line in a new version."
        )
    paste = made[0]
    return DilutionPlan(
        paste=paste.item,
        target=version.target_soap,
        content=None,
        share=paste.amount,
        others=tuple(
            line
            for line in shares
            if line is not paste and line.item.category != Item.Category.WATER
        ),
        water=water_among(line.item for line in shares),
    )
