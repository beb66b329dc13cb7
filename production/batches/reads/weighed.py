"""What was weighed into a batch with alkali: planned, weighed, and the superfat."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import chain

from production.batches.domain.weighed import (
    ACID,
    ALKALI,
    OIL,
    SOAP,
    Aim,
    Superfat,
    Went,
    judge,
)
from production.contents.reads.closure import alkali_behind
from production.contents.reads.contents import added_by, soap_from_outside
from production.quantities.domain.refusal import Refused
from production.recipes.domain.cooking import cook
from production.recipes.domain.pot import Fat, Line
from production.recipes.models.formulas import Version, VersionLine
from production.recipes.reads.cooking import (
    balance_step,
    lines_for,
    material,
    purities_of,
    terms_of,
)
from production.recipes.reads.tubs import lye_from
from production.stock.models.batches import Batch, Stage
from production.stock.models.lots import Lot
from production.stock.models.readings import Measurement
from production.stock.reads.readings import best_of, read_of
from production.workshop.models.items import Item
from production.workshop.reads.roles import role_of

WHAT = Measurement.What
READ = (WHAT.PURITY, WHAT.CARBONATE, WHAT.SAPONIFICATION_VALUE)
Source = Lot | Item


@dataclass(frozen=True, slots=True)
class Pour:
    """So much of a lot, or of what is on tap, written in the book or not yet."""

    source: Source
    amount: Decimal
    on: date

    @property
    def item(self) -> Item:
        return self.source.item if isinstance(self.source, Lot) else self.source


@dataclass(frozen=True, slots=True)
class Row:
    """One material: what the recipe asks for beside what was weighed; None is open."""

    name: str
    planned: Decimal | None
    weighed: Decimal
    alkali: bool = False


@dataclass(frozen=True, slots=True)
class WeighedIn:
    """A batch with alkali: its rows, and the superfat that they give.

    ``by_recipe`` is whether there is a plan to stand beside.
    """

    rows: tuple[Row, ...]
    superfat: Superfat
    by_recipe: bool

    @property
    def asks(self) -> bool:
        """Whether it is a lye excess that nobody declared."""
        return self.superfat.excess


def weighed_batch(batch: Batch) -> WeighedIn | None:
    """What a stored batch holds; None where no alkali is among its uses."""
    return weighed_in(batch.stage, batch.version, pours_of(batch))


def holds_excess(batch: Batch) -> bool:
    """Whether what went in is a lye excess that nobody declared: the figure alone."""
    if batch.version is not None and batch.version.lye_excess:
        return False
    went = _with_alkali(batch.stage, pours_of(batch))
    return went is not None and judge(chain.from_iterable(went), None).excess


def pours_of(batch: Batch) -> list[Pour]:
    """Every standing use of a batch; one query."""
    rows = batch.movements.used()
    rows = rows.select_related(
        "lot__item__oil", "lot__item__name_on_label", "lot__batch"
    )
    return [
        Pour(row.lot, -row.amount, row.on) for row in rows.in_book_order() if row.amount
    ]


def weighed_in(
    stage: str, version: Version | None, pours: Sequence[Pour]
) -> WeighedIn | None:
    """The same for rows that were typed and not posted yet.

    A batch has alkali where an alkali goes in as such or as a lye made here; in rework
    also where it comes inside soap, since there it is mended.
    """
    pours = [one for one in pours if one.item.kind != Item.Kind.PACKAGING]
    went = _with_alkali(stage, pours)
    if went is None:
        return None
    aim = _aim(version)
    parts = [one for parts in went for one in parts]
    return WeighedIn(
        rows=_rows(version, pours, went),
        superfat=judge(parts, aim, balance_step()),
        by_recipe=version is not None,
    )


def _with_alkali(stage: str, pours: Sequence[Pour]) -> list[list[Went]] | None:
    """Each pour as what it came from; None where no alkali is among them."""
    pours = [one for one in pours if one.item.kind != Item.Kind.PACKAGING]
    if not _may_hold_alkali(stage, pours):
        return None
    went = _went(pours)
    own = any(_is_lye(parts) for parts in went)
    inside = any(one.role == ALKALI for parts in went for one in parts)
    return went if own or (stage == Stage.REWORK and inside) else None


def _may_hold_alkali(stage: str, pours: Iterable[Pour]) -> bool:
    """Asked first, so that an honest dilution costs no query."""
    pours = list(pours)
    if any(one.item.is_alkali for one in pours):
        return True
    lots = [one.source for one in pours if isinstance(one.source, Lot)]
    return alkali_behind(lot.pk for lot in lots if _may_be_lye(lot, stage))


def _may_be_lye(lot: Lot, stage: str) -> bool:
    """A premix may be a lye; what rework takes may hold alkali."""
    if not lot.batch_id:
        return False
    return stage == Stage.REWORK or lot.batch.stage == Stage.PREPARATION


def _is_lye(parts: Iterable[Went]) -> bool:
    """Alkali with nothing in it to saponify."""
    roles = {one.role for one in parts}
    return ALKALI in roles and not roles & {OIL, SOAP}


def _went(pours: Sequence[Pour]) -> list[list[Went]]:
    """Each pour as the lots it came from in the first place."""
    lots = [
        (one.source, one.amount, one.on) for one in pours if isinstance(one.source, Lot)
    ]
    held, sources = added_by(lots)
    poured = iter(held)
    added = [
        next(poured) if isinstance(one.source, Lot) else {"": one.amount}
        for one in pours
    ]
    days: dict[str, date] = {}
    for one, parts in zip(pours, added, strict=True):
        for code in parts:
            days[code] = max(one.on, days.get(code, one.on))
    known = _origins([sources[code] for code in days if code], days)
    return [
        [
            _from_tap(one.item, grams) if not code else known[code](grams)
            for code, grams in parts.items()
        ]
        for one, parts in zip(pours, added, strict=True)
    ]


def _from_tap(item: Item, grams: Decimal) -> Went:
    return Went("", item.name, grams, role_of(item))


class _Origin:
    """A lot from outside, and what was read on it by the day it was used."""

    def __init__(self, lot: Lot, values: dict[tuple[str, str], Decimal]) -> None:
        self.lot, self.values = lot, values

    def __call__(self, grams: Decimal) -> Went:
        item = self.lot.item
        role = _role(self.lot)
        return Went(
            code=self.lot.code,
            item=item.name,
            grams=grams,
            role=role,
            fat=self._fat() if role == OIL else None,
            alkali=item.alkali,
            lye=lye_from(self.values, self.lot.code) if role == ALKALI else None,
            acid=item.acid,
            purity=best_of(self.values, WHAT.PURITY)[0] if role == ACID else None,
        )

    def _fat(self) -> Fat | None:
        """The certificate's own value where there is one, else the published one."""
        own, basis = best_of(self.values, WHAT.SAPONIFICATION_VALUE)
        oil = self.lot.item.oil
        kind = oil.kind if oil else "fat"
        if own is not None and basis != Measurement.Basis.MINIMUM:
            return Fat(own, own, own, kind)
        return Fat(oil.sv, oil.sv_low, oil.sv_high, kind) if oil else None


def _role(lot: Lot) -> str:
    if lot.item.is_alkali:
        return ALKALI
    return SOAP if soap_from_outside(lot) else role_of(lot.item)


def _origins(lots: Sequence[Lot], days: dict[str, date]) -> dict[str, _Origin]:
    """The lots by their codes, with the readings in force on those days; one query.

    What is measured counts before what is stated, and before the first reading of
    either, that one counts: a tub that was found damp was damp the day before.
    """
    readings: dict[str, dict[tuple[str, str], Decimal]] = defaultdict(dict)
    for row in read_of(lot__code__in=days, what__in=READ):
        code, read = row.lot.code, (row.what, row.basis)
        if row.on <= days[code] or read not in readings[code]:
            readings[code][read] = row.value
    found = {lot.code: _Origin(lot, readings[lot.code]) for lot in lots}
    _acids_by_item(found)
    return found


def _acids_by_item(origins: dict[str, _Origin]) -> None:
    """An acid whose lot says no purity counts with the latest of its item."""
    bare = [
        one
        for one in origins.values()
        if one.lot.item.acid and best_of(one.values, WHAT.PURITY)[0] is None
    ]
    known = purities_of([one.lot.item for one in bare]) if bare else {}
    for one in bare:
        if one.lot.item_id in known:
            one.values[WHAT.PURITY, Measurement.Basis.STATED] = known[one.lot.item_id]


def _aim(version: Version | None) -> Aim | None:
    """What a cook's recipe sets; no other stage says a superfat."""
    if version is None or version.superfat is None:
        return None
    try:
        lines = lines_for(
            [
                (row.item, row.share, row.goes_in)
                for row in version.lines.select_related("item__oil")
            ]
        )
    except Refused:
        lines = []
    oils = tuple(
        (line.name, line.fat.sv, line.share) for line in lines if line.fat is not None
    )
    return Aim(version.superfat, version.band, version.lye_excess, oils)


def _rows(
    version: Version | None, pours: Sequence[Pour], went: Sequence[Sequence[Went]]
) -> tuple[Row, ...]:
    """By item as the recipe names it; a premix that it does not name, by its parts."""
    lines = list(version.lines.select_related("item__oil")) if version else []
    named = {line.item_id for line in lines}
    weighed: dict[str, Decimal] = defaultdict(Decimal)
    alkalis: set[str] = set()
    for pour, parts in zip(pours, went, strict=True):
        if pour.item.pk in named or not _is_lye(parts):
            weighed[pour.item.name] += pour.amount
        else:
            for one in parts:
                weighed[one.item] += one.grams
        alkalis |= {one.item for one in parts if _is_lye(parts) and one.role == ALKALI}
    planned = _planned(version, lines, pours, went) if version else {}
    names = dict.fromkeys([*weighed, *planned])
    return tuple(
        Row(name, planned.get(name), weighed[name], name in alkalis) for name in names
    )


def _planned(
    version: Version,
    lines: Sequence[VersionLine],
    pours: Sequence[Pour],
    went: Sequence[Sequence[Went]],
) -> dict[str, Decimal]:
    if version.formula.stage == Stage.COOK:
        return _planned_cook(version, lines, pours, went)
    whole = sum(
        (one.amount for one in pours if one.item.unit == Item.Unit.GRAM), Decimal(0)
    )
    return {ln.item.name: ln.share * whole for ln in lines if ln.share is not None}


def _planned_cook(
    version: Version,
    lines: Sequence[VersionLine],
    pours: Sequence[Pour],
    went: Sequence[Sequence[Went]],
) -> dict[str, Decimal]:
    """The recipe worked out for the oils that went in, from the tubs that did."""
    of_oil = {ln.item_id for ln in lines if ln.item.category == Item.Category.OIL}
    oils = sum((one.amount for one in pours if one.item.pk in of_oil), Decimal(0))
    if not oils:
        return {}
    parts = [one for pot in went for one in pot]
    tubs = {one.alkali: one for one in parts if one.lye}
    found = {line.item.name: line.share * oils for line in lines if line.share}
    try:
        lyes = {alkali: one.lye for alkali, one in tubs.items() if one.lye}
        shares = [one for line in lines for one in _cook_lines(line, parts)]
        result = cook(shares, terms_of(version), lyes, oils).result
    except Refused:
        return found
    needs = {"KOH": result.koh_weighed, "NaOH": result.naoh_weighed}
    found |= {one.item: needs[alkali] for alkali, one in tubs.items() if needs[alkali]}
    if result.lye_water is not None:
        water = [p.item.name for p in pours if p.item.category == Item.Category.WATER]
        found[water[0] if water else "water"] = result.lye_water
    return found


def _cook_lines(line: VersionLine, parts: Sequence[Went]) -> list[Line]:
    """A line of the recipe, shared out over the lots of it that went in."""
    share = line.share or Decimal(0)
    lots = [one for one in parts if one.item == line.item.name]
    whole = sum((one.grams for one in lots), Decimal(0))
    if not whole:
        return lines_for([(line.item, share, line.goes_in)])
    return [
        Line(
            line.item.name,
            share * one.grams / whole,
            line.goes_in,
            one.fat,
            one.acid,
            one.purity,
            material(line.item),
        )
        for one in lots
    ]
