"""What recipes would cost at the latest prices: loaded for some versions together."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Model, OuterRef, QuerySet, Subquery

from costing.domain.planned import PlannedCost, PlannedLine, Price, plan_cost
from costing.reads.book import book_behind
from production.buying.reads.bills import Unknown, unknown_by_lot
from production.models import Item, Lot, Movement, Version, still_a_trial
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.chain import Chain
from production.recipes.reads.chain import chain_as_made
from production.recipes.reads.planning import alkalis_of, with_tubs
from production.recipes.reads.tubs import Tub, last_tubs


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
    items: Mapping[int, Item]
    unknown: Mapping[str, list[Unknown]]
    tubs: Mapping[str, Tub]


def plan_costs(*versions: Version) -> list[Planned]:
    """Plan each version at the latest prices; the queries do not grow with the lines.

    A material counts at the lot that came last, something made here at the lot made
    last that is no trial, an alkali at the tub it would be weighed from. A lot made
    here costs one walk down its family.
    """
    chains = [_chain(version) for version in versions]
    known_ones = [chain for chain in chains if isinstance(chain, Chain)]
    tubs = last_tubs({alkali for chain in known_ones for alkali in alkalis_of(chain)})
    takes = {item.key for chain in known_ones for item in chain.takes}
    items = Item.objects.in_bulk(takes - {0})
    prices = _prices(latest_lots(items.values()), tubs.values())
    unknown = unknown_by_lot(code for one in prices.values() for code in one.lots)
    known = _Known(prices, items, unknown, tubs)
    return [
        _planned(version, chain, known)
        for version, chain in zip(versions, chains, strict=True)
    ]


def _chain(version: Version) -> Chain | Refused:
    try:
        return chain_as_made(version, alone=True)
    except Refused as fault:
        return fault


def _starts() -> QuerySet[Movement]:
    """What came in and stands, the latest first; no trial that was not promoted."""
    rows = Movement.objects.standing().filter(kind__in=Movement.STARTS)
    rows = rows.exclude(still_a_trial())
    return rows.order_by("-on", "-id")


def latest_lots(items: Iterable[Item]) -> dict[Item, Lot | None]:
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
    prices = {item.pk: Price(on_tap(item)) for item in latest}
    for pk, lot in lots.items():
        value = values[lot.code]
        prices[pk] = Price(value.unit_cost, lot.code, tuple(sorted(value.missing)))
    return prices


def on_tap(item: Item) -> Fraction | None:
    """Per gram. A price that nobody wrote is unknown, also where water is free."""
    if not item.on_tap or item.tap_price is None:
        return None
    return Fraction(item.tap_price) / 1000


def _planned(version: Version, chain: Chain | Refused, known: _Known) -> Planned:
    try:
        if isinstance(chain, Refused):
            raise chain
        chain = with_tubs(chain, known.tubs.values())
        cost = plan_cost(chain.stages[0], known.prices, chain.water)
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
