"""What is needed, and what of it has to be bought."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal, localcontext

from production.chemistry.domain.constants import EXACT
from production.quantities.domain.numbers import MILLIGRAM, ZERO, grams

GRAM, PIECE = "g", "piece"
LEAST, NOISE = Decimal("0.01"), 10


@dataclass(frozen=True, slots=True)
class Material:
    """Anything that goes in or comes out; ``unit`` is g or piece.

    ``key`` tells it from others; 0 is water of no named item. ``most`` is the largest
    share its supplier or the law allows, ``ph_low`` and ``ph_high`` where it works.
    """

    key: int
    name: str
    unit: str = GRAM
    kind: str = "material"
    category: str = ""
    alkali: str = ""
    acid: str = ""
    on_tap: bool = False
    most: Decimal | None = None
    ph_low: Decimal | None = None
    ph_high: Decimal | None = None

    @property
    def counted(self) -> bool:
        """Whether it is counted in pieces."""
        return self.unit == PIECE


WATER = Material(0, "Water", category="water")


@dataclass(frozen=True, slots=True)
class Need:
    """So much of one material; grams unrounded, pieces whole."""

    item: Material
    amount: Decimal

    @property
    def unit(self) -> str:
        """g or piece."""
        return self.item.unit

    @property
    def to_weigh(self) -> Decimal:
        """As it is shown: grams half up to 0.001, pieces rounded up."""
        return pieces_up(self.amount) if self.item.counted else grams(self.amount)

    def on_balance(self, step: Decimal, rounding: str = ROUND_HALF_UP) -> "Need":
        """As a balance of that step can weigh it; pieces rounded up."""
        if self.item.counted:
            return Need(self.item, pieces_up(self.amount))
        return Need(self.item, on_balance(self.amount, step, rounding))


@dataclass(frozen=True, slots=True)
class Short:
    """What is needed beside what is there; ``short`` is None where that is unknown."""

    item: Material
    needed: Decimal
    on_hand: Decimal | None
    short: Decimal | None


def noise(amount: Decimal, step: Decimal) -> Decimal:
    """By how much rounding on the way can leave an amount short: so many steps of the
    balance, and never more than a hundredth of it."""
    return max(LEAST, min(NOISE * step, amount / 100))


def on_balance(
    amount: Decimal, step: Decimal, rounding: str = ROUND_HALF_UP
) -> Decimal:
    """The nearest weight that a balance of that step shows.

    A step of 0 is nobody's: the milligram of the book counts.
    """
    step = step or MILLIGRAM
    return grams((amount / step).to_integral_value(rounding) * step)


def pieces_up(amount: Decimal) -> Decimal:
    """Whole pieces, rounded up; less than 0.0005 of a piece is nothing."""
    return grams(amount).to_integral_value(ROUND_CEILING)


def pieces_down(amount: Decimal) -> Decimal:
    """Whole pieces that an amount gives; 0.0005 short of a piece is a piece."""
    return grams(amount).to_integral_value(ROUND_FLOOR)


def summed(needs: Iterable[Need]) -> tuple[Need, ...]:
    """One need for each material, in the order in which they first come."""
    items: dict[int, Material] = {}
    amounts: dict[int, Decimal] = {}
    with localcontext(EXACT):
        for need in needs:
            items.setdefault(need.item.key, need.item)
            amounts[need.item.key] = amounts.get(need.item.key, ZERO) + need.amount
    return tuple(Need(item, amounts[key]) for key, item in items.items())


def shortage(
    needs: Iterable[Need], stock: Mapping[int, Decimal | None]
) -> tuple[Short, ...]:
    """What to buy or to make first: the need less what is there, never below zero.

    ``stock`` by the key of the material; what it does not name, or names as None, is
    unknown and stays so: nothing there is a 0. What is on tap is never short.
    """
    found = []
    for need in summed(needs):
        needed, there = need.to_weigh, stock.get(need.item.key)
        short = None if there is None else max(needed - there, ZERO)
        if need.item.on_tap:
            short = ZERO
        found.append(Short(need.item, needed, there, short))
    return tuple(found)
