"""What recipes would cost at the latest prices: loaded for some versions together."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from django.db.models import Model, OuterRef, QuerySet, Subquery

from costing.domain.planned import PlannedCost, PlannedLine, Price, Recipe, plan_cost
from costing.reads.book import book_behind
from production.domain.chemistry.recipe import alkalis_used
from production.domain.refusal import Refused
from production.domain.scaling.goods import WATER, Material
from production.domain.scaling.plans import CookPlan, DilutionPlan, Lye
from production.models import (
    Item,
    Lot,
    Movement,
    Stage,
    Version,
    VersionLine,
    still_a_trial,
)
from production.reads.bills import Unknown, unknown_by_lot
from production.reads.chain import material, plan_of
from production.reads.cooking import purities_of
from production.reads.tubs import Tub, last_tubs


@dataclass(frozen=True, slots=True)
class Missing:
    """Why a plan is not known, and what has the page on which that is mended."""

    says: str
    where: Model | None


@dataclass(frozen=True, slots=True)
class Planned:
    """One version's plan; ``cost`` is None where it could not be worked out at all."""

    version: Version
    cost: PlannedCost | None
    missing: tuple[Missing, ...]


@dataclass(frozen=True, slots=True)
class _Known:
    """What the book says of all that the versions ask for, by the key of the item."""

    prices: Mapping[int, Price]
    lyes: Mapping[str, Lye]
    purities: Mapping[int, Decimal]
    items: Mapping[int, Item]
    unknown: Mapping[str, list[Unknown]]
    water: Material


def plan_costs(*versions: Version) -> list[Planned]:
    """Plan each version at the latest prices; the queries do not grow with the lines.

    A material counts at the lot that came last, something made here at the lot made
    last that is no trial, an alkali at the tub it would be weighed from, water at the
    kind that came last. A lot made here costs one walk down its family.
    """
    lines = _lines(versions)
    water = _water()
    items = {row.item_id: row.item for rows in lines.values() for row in rows}
    items |= {water.pk: water} if water else {}
    cooks = [row for row in versions if row.formula.stage == Stage.COOK]
    tubs = last_tubs({kind for row in cooks for kind in alkalis_used(row.koh_share)})
    prices = _prices(_latest(items.values()), tubs.values())
    known = _Known(
        prices=prices,
        lyes={kind: _lye(tub) for kind, tub in tubs.items()},
        purities=purities_of(items.values()),
        items=items,
        unknown=unknown_by_lot(code for one in prices.values() for code in one.lots),
        water=material(water) if water else WATER,
    )
    return [_planned(version, lines[version.pk], known) for version in versions]


def _lines(versions: Iterable[Version]) -> dict[int, list[VersionLine]]:
    found: dict[int, list[VersionLine]] = {version.pk: [] for version in versions}
    rows = VersionLine.objects.filter(version__in=list(found))
    for row in rows.select_related("item__oil").order_by("version", "position"):
        found[row.version_id].append(row)
    return found


def _lye(tub: Tub) -> Lye:
    return Lye(material(tub.lot.item), tub.lye.purity, tub.lye.carbonate)


def _starts() -> QuerySet[Movement]:
    """What came in and stands, the latest first; no trial that was not promoted."""
    rows = Movement.objects.standing().filter(kind__in=Movement.STARTS)
    rows = rows.exclude(still_a_trial())
    return rows.order_by("-on", "-id")


def _water() -> Item | None:
    """The water that came last; before any came, the one on tap."""
    waters = Item.objects.filter(category=Item.Category.WATER).select_related("oil")
    last = _starts().filter(lot__item__category=Item.Category.WATER)
    came = waters.filter(pk__in=last.values("lot__item")[:1]).first()
    return came or waters.order_by("-on_tap", "name").first()


def _latest(items: Iterable[Item]) -> dict[Item, Lot | None]:
    """The lot of each item that came last; None for what is on tap."""
    newest = _starts().filter(lot__item=OuterRef("pk")).values("lot")[:1]
    pks = {item.pk for item in items if not item.on_tap}
    found = Item.objects.filter(pk__in=pks).annotate(newest=Subquery(newest))
    lots = dict(found.values_list("pk", "newest"))
    rows = Lot.objects.select_related("item").in_bulk(
        [pk for pk in lots.values() if pk]
    )
    return {item: rows.get(lots.get(item.pk)) for item in items}


def _prices(latest: Mapping[Item, Lot | None], tubs: Iterable[Tub]) -> dict[int, Price]:
    """What each item costs, by its key; a tub stands for its item."""
    lots = {item.pk: lot for item, lot in latest.items() if lot is not None}
    lots |= {tub.lot.item_id: tub.lot for tub in tubs}
    values = book_behind(*lots.values()).valuation.lots if lots else {}
    prices = {item.pk: Price(_on_tap(item)) for item in latest}
    for pk, lot in lots.items():
        value = values[lot.code]
        prices[pk] = Price(value.unit_cost, lot.code, tuple(sorted(value.missing)))
    return prices


def _on_tap(item: Item) -> Fraction | None:
    """Per gram. A price that nobody wrote is unknown, also where water is free."""
    if not item.on_tap or item.tap_price is None:
        return None
    return Fraction(item.tap_price) / 1000


def _planned(version: Version, lines: Sequence[VersionLine], known: _Known) -> Planned:
    try:
        recipe = _recipe(version, lines, known)
        cost = plan_cost(recipe, known.prices, known.water, version.loss)
    except Refused as fault:
        return Planned(version, None, (Missing(str(fault), version),))
    missing = [gap for line in cost.missing for gap in _missing(line, known)]
    return Planned(version, cost, tuple(dict.fromkeys(missing)))


def _missing(line: PlannedLine, known: _Known) -> list[Missing]:
    """What is missing: of lots behind it, a price on tap, or any lot at all."""
    name = line.item.name
    asked = [one for code in line.price.lots for one in known.unknown.get(code, ())]
    if asked:
        return [Missing(f"{name}: {one.says}", one.where) for one in asked]
    item = known.items.get(line.item.key)
    if item is not None and item.on_tap:
        return [
            Missing(f"{name}: its card names no price on tap; 0 if it is free.", item)
        ]
    return [Missing(f"{name}: no lot of it has come or was made yet.", item)]


def _recipe(version: Version, lines: Sequence[VersionLine], known: _Known) -> Recipe:
    """A cook with the tub at hand; a dilution by its shares as they are worded."""
    plan = plan_of(version, lines)
    if isinstance(plan, DilutionPlan):
        return plan.by_share()
    if not isinstance(plan, CookPlan):
        return plan
    used = alkalis_used(version.koh_share)
    lyes = tuple(lye for kind, lye in known.lyes.items() if kind in used)
    return replace(plan, lyes=lyes, purities=known.purities)
