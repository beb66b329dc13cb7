"""What is asked for each product in each channel, and what that leaves."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.domain.channels import Sold, sold
from costing.models.prices import Channel, Price
from costing.reads.lot_costs import LotCost, Opened, costs_of, open_lots, products
from costing.reads.prices import Targets, channel_of, prices_on, targets
from costing.reads.unmade import planned_for
from production.models import Item, Lot
from production.quantities.domain.numbers import money


@dataclass(frozen=True, slots=True)
class Asked:
    """One product in one channel; ``price`` None: no price is set of it anywhere.

    ``cost`` None: no lot of it was made yet, and nobody planned one. ``sold`` None: its
    cost is not known.
    """

    item: Item
    cost: LotCost | None
    channel: Channel | None
    price: Price | None
    sold: Sold | None
    target: Decimal | None

    # For a table and its sheet, to the places that money is typed with.
    @property
    def unit_cost(self) -> Decimal | None:
        cost = self.cost.cost if self.cost else None
        return None if cost is None else money(cost)

    @property
    def margin(self) -> Decimal | None:
        """A share of the price."""
        return money(self.sold.margin) if self.sold else None

    @property
    def contribution(self) -> Decimal | None:
        return money(self.sold.contribution) if self.sold else None

    @property
    def met(self) -> bool | None:
        """Whether the margin wanted is there; None where that cannot be said."""
        if self.sold is None or self.target is None:
            return None
        return self.sold.margin >= Fraction(self.target)

    @property
    def gap(self) -> Fraction:
        """How far below its target it is, as a share of the price."""
        if self.sold is None or self.target is None:
            return Fraction(0)
        return Fraction(self.target) - self.sold.margin


def last_lots(items: Iterable[Item]) -> dict[int, Lot]:
    """The last lot of each product, by the key of the product."""
    keys = [item.last for item in items if item.last]
    rows = Lot.objects.select_related("item", "batch").in_bulk(keys)
    return {lot.item_id: lot for lot in rows.values()}


def asked_on(day: date) -> list[Asked]:
    """Every product in every channel that has a price of it; under target first.

    Then those whose cost is not known, those without a price, and the rest.
    """
    items = products()
    lots = last_lots(items)
    known = costs_of(lots.values())
    costs = {item: known[lot.pk] for item, lot in lots.items()}
    costs |= {item: one.of for item, one in _unmade(items, lots).items()}
    return asked_of(items, costs, day)


def _unmade(items: Iterable[Item], lots: Mapping[int, Lot]) -> dict[int, Opened]:
    """What is planned of those without a lot, by the key of the product."""
    planned = planned_for([item for item in items if item.pk not in lots])
    return {pk: one.opened for pk, one in planned.items() if one.opened}


def asked_of(
    items: Iterable[Item], costs: Mapping[int, LotCost], day: date
) -> list[Asked]:
    channels = {row.pk: row for row in Channel.objects.all()}
    by_item: dict[int, list[Price]] = {}
    for (item, _), price in prices_on(day).items():
        by_item.setdefault(item, []).append(price)
    wanted = targets()
    found = [
        _asked(item, costs.get(item.pk), price, channels, wanted)
        for item in items
        for price in by_item.get(item.pk, [None])
    ]
    return sorted(found, key=_order)


def _asked(
    item: Item,
    cost: LotCost | None,
    price: Price | None,
    channels: Mapping[int, Channel],
    wanted: Targets,
) -> Asked:
    channel = channels[price.channel_id] if price else None
    one = None
    if channel and price and cost and cost.parts is not None:
        one = sold(channel_of(channel), price.price, cost.parts)
    return Asked(item, cost, channel, price, one, wanted.of(item.pk))


def _order(one: Asked) -> tuple[int, Fraction, str, str]:
    if one.met is False:
        rank = 0
    elif one.price is None:
        rank = 2
    else:
        rank = 1 if one.sold is None else 3
    channel = one.channel.name if one.channel else ""
    return rank, -one.gap if rank == 0 else Fraction(0), one.item.name, channel


@dataclass(frozen=True, slots=True)
class Shifted:
    """One product in one channel before and after a material's price moved."""

    before: Asked
    after: Asked

    @property
    def falls(self) -> bool:
        """Whether it met its target and does no more."""
        return self.before.met is True and self.after.met is False


@dataclass(frozen=True, slots=True)
class Shift:
    """Those with the material in them; ``without`` counts the products that have none.

    ``unknown`` are products whose cost, and so their share of it, is not known.
    """

    rows: list[Shifted]
    without: int
    unknown: list[Item]


def shift(material: Item, change: Decimal, day: date) -> Shift:
    """What a price of this material that moves by such a share does to each product.

    Through what the last lot of each took, or would take by its plan, at what that
    cost. First those that fall under their target, then those that were under it, then
    the rest.
    """
    items = products()
    lots = last_lots(items)
    known = open_lots([*lots.values()])
    opened = {item: known[lot.pk] for item, lot in lots.items()}
    opened |= _unmade(items, lots)
    moved = {
        pk: _moved(one, material, change)
        for pk, one in opened.items()
        if one.of.parts is not None and one.cost_of(material)
    }
    has = [item for item in items if item.pk in moved]
    before = asked_of(has, {pk: opened[pk].of for pk in moved}, day)
    after = {_key(one): one for one in asked_of(has, moved, day)}
    rows = [Shifted(one, after[_key(one)]) for one in before]
    rows.sort(key=lambda row: (not row.falls, _order(row.after)))
    unknown = [
        item
        for item in items
        if item.pk not in opened or opened[item.pk].of.parts is None
    ]
    return Shift(rows, len(items) - len(has) - len(unknown), unknown)


def _key(one: Asked) -> tuple[int, int | None]:
    return one.item.pk, one.channel.pk if one.channel else None


def _moved(one: Opened, material: Item, change: Decimal) -> LotCost:
    assert one.of.parts is not None
    parts = dict(one.of.parts)
    for key, put in one.puts.items():
        if one.items.get(key) == material:
            parts[put.component] += put.cost * Fraction(change)
    return LotCost(one.of.lot, parts)
