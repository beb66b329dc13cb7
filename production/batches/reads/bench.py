"""The lots that one deed takes its amounts from, in a fixed number of queries."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.quantities.domain.numbers import plain
from production.recipes.reads.packs import stock_view_of
from production.stock.models.lots import Lot
from production.stock.reads.places_of_lots import standing_places
from production.workshop.models.items import Item
from production.workshop.models.places import Place


@dataclass(frozen=True, slots=True)
class Part:
    """What is taken of one lot, and where from; None is the workshop."""

    lot: Lot
    amount: Decimal
    place: Place | None


class Bench:
    """Takes amounts for one deed; a proposed pack that runs out goes on in the next.

    ``lots`` are all that the deed names; what ran out stands in ``remarks``.
    """

    def __init__(self, lots: Iterable[Lot], on: date) -> None:
        named = {lot.code: lot for lot in lots}
        # Never over two tubs of an alkali: the second was not read.
        parted = {lot.item_id for lot in named.values() if not lot.item.is_alkali}
        self.stock = stock_view_of(parted, on)
        codes = [lot.code for lots in self.stock.lots.values() for lot in lots]
        others = Lot.objects.filter(code__in=codes).select_related("item")
        self.lots = {lot.code: lot for lot in others} | named
        self.places = standing_places(self.lots.values())
        self.remarks: list[str] = []

    def take(self, lot: Lot, amount: Decimal) -> list[Part]:
        """An amount of a lot, over several only where it is the one proposed."""
        shares, short = self.stock.shares(lot.item_id, amount)
        if short or [code for code, _ in shares[:1]] != [lot.code]:
            shares = [(lot.code, amount)]
        self.stock.less(lot.item_id, shares)
        if len(shares) > 1:
            rest = ", ".join(f"{plain(part)} from {code}" for code, part in shares[1:])
            self.remarks.append(f"{lot} ({lot.item}) ran out: {rest}.")
        found = [(self.lots[code], part) for code, part in shares]
        return [Part(one, part, self.places[one.pk]) for one, part in found]


def first_lots(items: Iterable[Item], on: date) -> dict[int, str]:
    """The code that each item would be taken from first, by its key; "" for none."""
    stock = stock_view_of({item.pk for item in items}, on)
    return {item: stock.first(item) for item in stock.lots}
