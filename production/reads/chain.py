"""The recipes behind a recipe, as plain values, from filling back to cook."""

from collections.abc import Iterable, Mapping, Sequence, Set
from types import MappingProxyType

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from production.domain.refusal import Refused
from production.domain.scaling.chain import Chain, Plan, Stage, chain_of, settle
from production.domain.scaling.goods import WATER, Material, Published
from production.domain.scaling.losses import Loss
from production.domain.scaling.plans import (
    CookPlan,
    DilutionPlan,
    FillingPlan,
    Line,
    SharePlan,
)
from production.models import Item, Version, VersionLine
from production.models import Stage as Kind
from production.models.formulas import TERMS
from production.reads.experience import median_losses


def chain_as_made(*versions: Version) -> Chain:
    """The same with what the batches of each recipe lost, where there are any.

    That comes before what the recipe expects. Five queries at most.
    """
    chain = chain_to(*versions)
    learnt = median_losses(stage.formula for stage in chain.stages)
    found = ((stage.key, learnt[stage.formula]) for stage in chain.stages)
    return settle(chain, losses={key: lost.loss for key, lost in found if lost})


def chain_to(*versions: Version) -> Chain:
    """The wordings behind some fillings (or any other stage), in three queries.

    Behind each item made here stands the latest wording of the recipe that makes it;
    of several recipes the one that was worded last, and never a rework. An item made
    here without a recipe has no stage. The loss is what the recipe expects, None where
    it does not say. Refused where recipes go in a circle, and where a line cannot be
    scaled.
    """
    asked = {version.pk for version in versions}
    wordings = {row.pk: row for row in _wordings(asked)}
    lines: dict[int, list[VersionLine]] = {pk: [] for pk in wordings}
    for line in _lines(wordings):
        lines[line.version_id].append(line)
    makers = _makers(wordings.values(), asked)
    found = _behind([version.pk for version in versions], lines, makers)
    cooked = {
        wordings[pk].formula.makes_id
        for pk in found
        if wordings[pk].formula.stage == Kind.COOK
    }
    stages = [_stage(wordings[pk], lines[pk], cooked) for pk in found]
    return chain_of(stages, _water())


def _wordings(asked: set[int]) -> QuerySet[Version]:
    """The latest wording of every formula, and those that were asked for."""
    latest = Version.objects.filter(formula=OuterRef("formula")).order_by("-number")
    return (
        Version.objects.annotate(latest=Subquery(latest.values("pk")[:1]))
        .filter(Q(pk=F("latest")) | Q(pk__in=asked))
        .select_related("formula__makes__oil")
    )


def _lines(wordings: Iterable[int]) -> QuerySet[VersionLine]:
    found = VersionLine.objects.filter(version__in=list(wordings))
    return found.select_related("item__oil").order_by("version", "position")


def _water() -> Material:
    """What is on tap first, as in planning a batch; just water where none is named."""
    waters = Item.objects.filter(category=Item.Category.WATER)
    first = waters.select_related("oil").order_by("-on_tap", "name").first()
    return WATER if first is None else material(first)


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


def material(item: Item) -> Material:
    """A card as a plain value; ``oil`` is asked for with it."""
    oil = item.oil
    return Material(
        key=item.pk,
        name=item.name,
        unit=str(item.unit),
        kind=str(item.kind),
        category=str(item.category),
        alkali=item.alkali,
        acid=item.acid,
        on_tap=item.on_tap,
        oil=oil and Published(oil.sv, oil.sv_low, oil.sv_high, oil.kind),
    )


def _stage(version: Version, lines: list[VersionLine], cooked: set[int]) -> Stage:
    formula, loss = version.formula, version.loss
    return Stage(
        key=version.pk,
        formula=formula.pk,
        name=formula.name,
        stage=str(formula.stage),
        makes=material(formula.makes),
        plan=plan_of(version, lines, cooked),
        loss=None if loss is None else Loss(loss, "as the recipe expects"),
        rest_days=version.rest_days,
        terms=MappingProxyType({term: getattr(version, term) for term in TERMS}),
    )


def plan_of(
    version: Version, lines: Sequence[VersionLine], cooked: Set[int] = frozenset()
) -> Plan:
    """What one wording takes; ``cooked`` are the items that a cook is known to make.

    Refused for a line that cannot be scaled.
    """
    if version.formula.makes.unit == Item.Unit.PIECE:
        return FillingPlan(tuple(_for_each(version, line) for line in lines))
    shares = tuple(_share(version, line) for line in lines)
    if version.formula.stage == Kind.COOK:
        return _cook(version, shares)
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
    return Line(material(line.item), amount, line.goes_in)


def _share(version: Version, line: VersionLine) -> Line:
    if line.share is None:
        raise Refused(
            f"{version.formula} is weighed: write {line.item} as a share, in a "
            "new version."
        )
    return Line(material(line.item), line.share, line.goes_in)


def _cook(version: Version, shares: tuple[Line, ...]) -> CookPlan:
    for line in shares:
        if line.item.category == Item.Category.ALKALI:
            raise Refused(
                f"{version.formula} names {line.item.name} as a share: leave it out in "
                "a new version, it follows from the oils."
            )
    return CookPlan(
        oils=tuple(o for o in shares if o.item.category == Item.Category.OIL),
        superfat=version.superfat,
        koh_share=version.koh_share,
        water_per_alkali=version.water_per_alkali,
        lye_strength=version.lye_strength,
        others=tuple(o for o in shares if o.item.category != Item.Category.OIL),
    )


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
        others=tuple(line for line in shares if line is not paste),
    )
