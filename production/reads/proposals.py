"""Which lots so much of everything would come from, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from production.domain.craft_day import open_pack_first
from production.domain.numbers import ZERO
from production.models import Item
from production.reads.packs import open_packs
from production.reads.stock import candidates


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
        opened = open_packs(on, Item.objects.filter(pk__in=self.lots))
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
        lots = [lot for lot in self.lots[item] if lot.on_hand > 0]
        held = sum((lot.on_hand for lot in lots), ZERO)
        part = min(held, amount)
        if part <= 0:
            return [], amount
        pack = next((lot for lot in lots if lot.code == self.packs.get(item)), None)
        shares = open_pack_first(pack, lots, part)
        self._less(item, shares)
        expiry = {lot.code: lot.expiry for lot in lots}
        found = [Share(code, some, expiry[code]) for code, some in shares]
        return found, amount - part

    def _less(self, item: int, shares: Sequence[tuple[str, Decimal]]) -> None:
        taken = dict(shares)
        self.lots[item] = [
            replace(lot, on_hand=lot.on_hand - taken.get(lot.code, ZERO))
            for lot in self.lots[item]
        ]
