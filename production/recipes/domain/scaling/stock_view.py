"""What stands ready to be taken, lot by lot, and what a certificate says of a lot."""

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from production.quantities.domain.numbers import ZERO
from production.recipes.domain.craft_day import open_pack_first
from production.stock.domain.ledger import Candidate


@dataclass(frozen=True, slots=True)
class Share:
    """So much out of one lot."""

    code: str
    amount: Decimal
    expires: date | None = None


@dataclass(frozen=True, slots=True)
class OfLot:
    """The values of one lot of an oil, mg KOH per g, and its unsaponifiable matter, a
    fraction; None is not on its certificate."""

    sv: Decimal | None = None
    acid_value: Decimal | None = None
    unsaponifiable: Decimal | None = None


class StockView:
    """What may be taken on one day; taking from it goes on where it stopped.

    ``lots`` by the key of a material, ``packs`` the codes of those that stand open,
    ``own`` the certificates by code.
    """

    def __init__(
        self,
        lots: Mapping[int, Sequence[Candidate]],
        packs: Mapping[int, str] | None = None,
        own: Mapping[str, OfLot] | None = None,
    ) -> None:
        self.lots = {item: list(some) for item, some in lots.items()}
        self.packs, self.own = packs or {}, own or {}

    def untouched(self) -> "StockView":
        """Another look at the same stock, before anything is taken from it."""
        again = copy(self)
        again.lots = dict(self.lots)
        return again

    def on_hand(self) -> dict[int, Decimal]:
        """Grams or pieces by item, nothing taken yet; an item without a lot is 0."""
        return {
            item: sum((lot.on_hand for lot in lots), ZERO)
            for item, lots in self.lots.items()
        }

    def held(self, item: int, code: str) -> Decimal:
        """What is left of one lot."""
        lots = self.lots.get(item, ())
        return sum((lot.on_hand for lot in lots if lot.code == code), ZERO)

    def first(self, item: int) -> str:
        """The code of the lot that is taken from first; "" where there is none."""
        shares, _ = self.shares(item, Decimal("0.001"))
        return shares[0][0] if shares else ""

    def take(self, item: int, amount: Decimal) -> tuple[list[Share], Decimal]:
        """Shares of an amount, open pack first, and what is short of it."""
        shares, short = self.shares(item, amount)
        self.less(item, shares)
        expiry = {lot.code: lot.expiry for lot in self.lots.get(item, ())}
        return [Share(code, some, expiry[code]) for code, some in shares], short

    def shares(
        self, item: int, amount: Decimal
    ) -> tuple[list[tuple[str, Decimal]], Decimal]:
        """Codes and parts of an amount, and what is short of it; nothing is taken."""
        lots = [lot for lot in self.lots.get(item, ()) if lot.on_hand > 0]
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
            for lot in self.lots.get(item, ())
        ]
