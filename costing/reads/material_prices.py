"""What a material costs by the book: at its last delivery, or as it stands in stock."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from costing.domain.planned_bottle import UNPRICED, PriceKnown
from costing.domain.rollup import NANO, LotValue
from costing.reads.book import book_behind
from costing.reads.planned import latest_lots, on_tap
from production.models import Item, Lot, Movement
from production.recipes.reads.tubs import Tub


@dataclass(frozen=True, slots=True)
class BookPrices:
    """Of one material: ``last`` as it came or was made last, ``stock`` the average of
    all that is on hand. What is on tap costs what its card says, either way.
    """

    last: PriceKnown = UNPRICED
    stock: PriceKnown = UNPRICED


def book_prices(
    items: Iterable[Item], tubs: Iterable[Tub] = ()
) -> dict[int, BookPrices]:
    """Of each item by its key; a tub that is weighed from stands for its item.

    The queries do not grow with the items, but each lot made here costs a walk down
    its family.
    """
    items = [item for item in items if item.pk is not None and item.pk > 0]
    tubs = list(tubs)
    latest = {item.pk: lot for item, lot in latest_lots(items).items() if lot}
    latest |= {tub.lot.item_id: tub.lot for tub in tubs}
    held: dict[int, list[Lot]] = {}
    keys = {item.pk for item in items} | {tub.lot.item_id for tub in tubs}
    for lot in Lot.objects.select_related("item").in_stock().filter(item__in=keys):
        held.setdefault(lot.item_id, []).append(lot)
    lots = {lot.pk: lot for lot in latest.values()}
    lots |= {lot.pk: lot for some in held.values() for lot in some}
    values = book_behind(*lots.values()).valuation.lots if lots else {}
    days = _came(lots)
    found = {}
    for item in {**{item.pk: item for item in items}, **_of_tubs(tubs)}.values():
        if item.on_tap:
            price = PriceKnown(on_tap(item), "tap")
            found[item.pk] = BookPrices(price, price)
            continue
        found[item.pk] = BookPrices(
            _last(latest.get(item.pk), values, days),
            _average(held.get(item.pk, ()), values, days),
        )
    return found


def _of_tubs(tubs: Iterable[Tub]) -> dict[int, Item]:
    return {tub.lot.item_id: tub.lot.item for tub in tubs}


def _came(lots: Mapping[int, Lot]) -> dict[int, date]:
    """The day on which each lot came or was made."""
    rows = Movement.objects.standing().filter(kind__in=Movement.STARTS, lot__in=lots)
    return dict(rows.order_by("-on").values_list("lot", "on"))


def _last(
    lot: Lot | None, values: Mapping[str, LotValue], days: Mapping[int, date]
) -> PriceKnown:
    if lot is None:
        return UNPRICED
    value = values[lot.code]
    missing = tuple(sorted(value.missing))
    return PriceKnown(value.unit_cost, "last", days.get(lot.pk), lot.code, missing)


def _average(
    lots: Iterable[Lot], values: Mapping[str, LotValue], days: Mapping[int, date]
) -> PriceKnown:
    """Of all that is left of them; unknown while the price of one is."""
    lots = list(lots)
    held = [values[lot.code] for lot in lots if not values[lot.code].trial]
    amount = sum((Fraction(value.amount_left) for value in held), Fraction(0))
    if not amount:
        return UNPRICED
    missing = {code for value in held for code in value.missing}
    latest = max((days[lot.pk] for lot in lots if lot.pk in days), default=None)
    if missing:
        return PriceKnown(None, "stock", latest, "", tuple(sorted(missing)))
    nano = sum(sum(value.left.values()) for value in held)
    return PriceKnown(Fraction(nano, NANO) / amount, "stock", latest)
