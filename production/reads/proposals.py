"""Which lots so much of everything comes from, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from production.domain.craft_day import open_pack_first
from production.domain.numbers import plain
from production.models import Item, Lot, Place
from production.reads.packs import open_packs
from production.reads.stock import candidates
from production.reads.whence import standing_places

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Share:
    """So much out of one lot."""

    code: str
    amount: Decimal
    expires: date | None = None


class Shelf:
    """What is released and in date on one day; proposing takes from it in turn."""

    def __init__(self, items: Iterable[Item | int], on: date) -> None:
        self.lots = defaultdict(list, candidates(items, on))
        opened = open_packs(on, self.lots)
        self.packs = {item: lot.code for item, lot in opened.items()}

    def untouched(self) -> "Shelf":
        """Another look at the same shelf, before anything is taken from it."""
        again = copy(self)
        again.lots = defaultdict(list, self.lots)
        return again

    def on_hand(self) -> Mapping[int, Decimal]:
        """Grams or pieces by item, nothing taken yet; an item without a lot is 0."""
        return {
            item: sum((lot.on_hand for lot in lots), ZERO)
            for item, lots in self.lots.items()
        }

    def take(self, item: int, amount: Decimal) -> tuple[list[Share], Decimal]:
        """Shares of an amount, open pack first, and what is short of it."""
        shares, short = self.shares(item, amount)
        self.less(item, shares)
        expiry = {lot.code: lot.expiry for lot in self.lots[item]}
        return [Share(code, some, expiry[code]) for code, some in shares], short

    def shares(
        self, item: int, amount: Decimal
    ) -> tuple[list[tuple[str, Decimal]], Decimal]:
        """Codes and parts of an amount, and what is short of it; nothing is taken."""
        lots = [lot for lot in self.lots[item] if lot.on_hand > 0]
        part = min(sum((lot.on_hand for lot in lots), ZERO), amount)
        if part <= 0:
            return [], amount
        pack = next((lot for lot in lots if lot.code == self.packs.get(item)), None)
        return open_pack_first(pack, lots, part), amount - part

    def less(self, item: int, shares: Sequence[tuple[str, Decimal]]) -> None:
        """Take these parts."""
        taken = dict(shares)
        self.lots[item] = [
            replace(lot, on_hand=lot.on_hand - taken.get(lot.code, ZERO))
            for lot in self.lots[item]
        ]


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
        self.shelf = Shelf(parted, on)
        codes = [lot.code for lots in self.shelf.lots.values() for lot in lots]
        others = Lot.objects.filter(code__in=codes).select_related("item")
        self.lots = {lot.code: lot for lot in others} | named
        self.places = standing_places(self.lots.values())
        self.remarks: list[str] = []

    def take(self, lot: Lot, amount: Decimal) -> list[Part]:
        """An amount of a lot, over several only where it is the one proposed."""
        shares, short = self.shelf.shares(lot.item_id, amount)
        if short or [code for code, _ in shares[:1]] != [lot.code]:
            shares = [(lot.code, amount)]
        self.shelf.less(lot.item_id, shares)
        if len(shares) > 1:
            rest = ", ".join(f"{plain(part)} from {code}" for code, part in shares[1:])
            self.remarks.append(f"{lot} ({lot.item}) ran out: {rest}.")
        found = [(self.lots[code], part) for code, part in shares]
        return [Part(one, part, self.places[one.pk]) for one, part in found]


def first_lots(items: Iterable[Item], on: date) -> dict[int, str]:
    """The code that one piece of each item would come from, by the item's key."""
    shelf = Shelf({item.pk for item in items}, on)
    proposed = {item: shelf.shares(item, Decimal(1))[0] for item in shelf.lots}
    return {item: shares[0][0] for item, shares in proposed.items() if shares}
