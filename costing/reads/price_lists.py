"""What is asked for each product on a day, as a list prints it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from costing.models.prices import Channel, Price
from costing.reads.asked import last_lots
from costing.reads.lot_costs import products
from costing.reads.prices import prices_on
from production.models import Item, Lot, Workshop
from production.quantities.domain.numbers import as_weighed, grouped
from production.quantities.domain.units import GRAMS


@dataclass(frozen=True, slots=True)
class ListRow:
    """One product; ``prices`` in the order of the channels, None: not offered there.

    ``size`` is what one held in its last lot by then, "" where nobody wrote it.
    ``since`` is the day from which the youngest of its prices counts.
    """

    item: Item
    size: str
    prices: tuple[Decimal | None, ...]
    since: date


@dataclass(frozen=True, slots=True)
class PriceList:
    """Prices of a day in some channels."""

    workshop: Workshop | None
    day: date
    channels: tuple[Channel, ...]
    rows: tuple[ListRow, ...]

    @property
    def lines(self) -> list[tuple[ListRow, list[tuple[Channel, Decimal | None]]]]:
        """Each row with its prices beside the channel of each."""
        return [
            (row, list(zip(self.channels, row.prices, strict=True)))
            for row in self.rows
        ]


def price_list(channels: Sequence[Channel], day: date) -> PriceList:
    """The same day gives the same list, whatever was set for later days since."""
    asked = prices_on(day, channel__in=channels)
    workshop = Workshop.objects.first()
    by_item: dict[int, dict[int, Price]] = {}
    for (item, channel), price in asked.items():
        by_item.setdefault(item, {})[channel] = price
    items = Item.objects.filter(pk__in=by_item).order_by("name")
    lots = last_lots([item for item in products(day) if item.pk in by_item])
    us = workshop is not None and workshop.units == "us"
    rows = []
    for item in items:
        prices = by_item[item.pk]
        found = [prices.get(channel.pk) for channel in channels]
        rows.append(
            ListRow(
                item,
                _size(lots.get(item.pk), us),
                tuple(one.price if one else None for one in found),
                max(one.valid_from for one in prices.values()),
            )
        )
    return PriceList(workshop, day, tuple(channels), tuple(rows))


def _size(lot: Lot | None, us: bool) -> str:
    if lot is None or lot.net_mass is None:
        return ""
    grams = f"{grouped(as_weighed(lot.net_mass))} g"
    if not us:
        return grams
    ounces = (lot.net_mass / GRAMS["oz"]).quantize(Decimal("0.1"), ROUND_HALF_UP)
    return f"{grouped(ounces)} oz ({grams})"
