"""Lower of cost and net realisable value: a proposal, never booked by itself.

Stock is carried at the lower of cost and net realisable value (IAS 2.9): the expected
price less what it costs to complete and to sell (2.6), looked at item by item (2.28-29;
the clause from memory). Materials are not written down while what is made of them will
sell at or above cost; else what they would cost today may be the best measure (2.32;
the clause from memory). A licensed adviser decides.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.domain.rollup import NANO


@dataclass(frozen=True, slots=True)
class OnShelf:
    """What is held of one item.

    ``value`` in nano, None while its cost is not known. ``price`` is what one gram or
    piece is expected to bring; of a material what it would cost today. ``costs`` is
    the part of the price that completing and selling it takes. ``serves``: it is used
    up in making; ``sells`` then says whether all that is made of it sells at or above
    cost, None where nothing made of it has a price.
    """

    item: str
    amount: Decimal
    value: int | None
    price: Fraction | None
    costs: Decimal = Decimal(0)
    serves: bool = False
    sells: bool | None = None

    @property
    def realisable(self) -> int | None:
        """What it would bring in all, in nano, rounded down; None without a price."""
        if self.price is None:
            return None
        each = self.price * (1 - Fraction(self.costs))
        return int(each * Fraction(self.amount) * NANO)


@dataclass(frozen=True, slots=True)
class Proposal:
    """``less`` is what would be written down, in nano; None where it cannot be said,
    and ``says`` why. ``carried`` is the value after it."""

    of: OnShelf
    less: int | None
    says: str

    @property
    def carried(self) -> int | None:
        value = self.of.value
        return None if value is None or self.less is None else value - self.less


NO_COST = "its cost is not known yet"
NO_PRICE = "it was never sold, so no price is known"
HELD = "what is made of it sells at or above cost (IAS 2.32)"
NOTHING = "nothing that is made of it has a price yet"
ABOVE = "it brings its cost or more"
BELOW = "it brings less than it cost (IAS 2.9)"
REPLACED = "what is made of it sells below cost, and it costs less today (IAS 2.32)"
STILL = "what is made of it sells below cost, but it costs no less today"


def propose(shelf: Iterable[OnShelf]) -> list[Proposal]:
    """Item by item (IAS 2.29): what dear stock is no longer covered by what cheap
    stock brings above its cost."""
    return [_of(row) for row in shelf]


def _of(row: OnShelf) -> Proposal:
    if row.value is None:
        return Proposal(row, None, NO_COST)
    if row.serves and row.sells is not False:
        return Proposal(row, 0, HELD if row.sells else NOTHING)
    realisable = row.realisable
    if realisable is None:
        return Proposal(row, None, NO_PRICE)
    less = max(row.value - realisable, 0)
    if row.serves:
        return Proposal(row, less, REPLACED if less else STILL)
    return Proposal(row, less, BELOW if less else ABOVE)
