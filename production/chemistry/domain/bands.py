"""How far a value may lie from what is written of it, and what comes of that."""

from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from production.chemistry.domain.constants import ALKALIS
from production.chemistry.domain.validation import above_zero, share, share_above_zero
from production.quantities.domain.numbers import ONE, plain
from production.quantities.domain.refusal import Refused


class Band(NamedTuple):
    """From ``low`` to ``high``, both included."""

    low: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True)
class OilRange:
    """An oil as weighed; where the lot's own certificate gives it, low = high = sv."""

    name: str
    grams: Decimal
    sv: Decimal
    sv_low: Decimal
    sv_high: Decimal

    def __post_init__(self) -> None:
        above_zero(self.grams, f"the grams of {self.name}")
        for value in (self.sv, self.sv_low, self.sv_high):
            above_zero(value, f"the saponification value of {self.name}")
        if not self.sv_low <= self.sv <= self.sv_high:
            raise Refused(
                f"Check the saponification value of {self.name}: {plain(self.sv)} is "
                f"not between {plain(self.sv_low)} and {plain(self.sv_high)}, which "
                "are given as its ends."
            )


@dataclass(frozen=True, slots=True)
class AlkaliRange:
    """An alkali as weighed, with what is known of its purity.

    ``floor`` means that only "min. so much" is known: ``purity`` and ``purity_low``
    are that floor and ``purity_high`` is as pure as it can be.
    """

    alkali: str
    weighed: Decimal
    purity: Decimal
    purity_low: Decimal
    purity_high: Decimal
    floor: bool = False

    def __post_init__(self) -> None:
        if self.alkali not in ALKALIS:
            raise Refused(f"The alkali is KOH or NaOH, not {self.alkali!r}.")
        above_zero(self.weighed, f"the grams of {self.alkali}")
        for value in (self.purity, self.purity_low, self.purity_high):
            share_above_zero(value, f"the purity of the {self.alkali}")
        if not self.purity_low <= self.purity <= self.purity_high:
            raise Refused(
                f"Check the purity of the {self.alkali}: {plain(self.purity)} is not "
                f"between {plain(self.purity_low)} and {plain(self.purity_high)}, "
                "which are given as its ends."
            )
        if self.floor and self.purity != self.purity_low:
            raise Refused(
                f"The purity of the {self.alkali} is a floor: its low end is that "
                "floor. Correct one of them."
            )


@dataclass(frozen=True, slots=True)
class Cause:
    """How far one cause alone can move the superfat, in fractions, both 0 or more.

    ``kind`` is oil, purity or balance; ``of`` the oil or alkali, empty for the balance.
    """

    name: str
    kind: str
    down: Decimal
    up: Decimal
    of: str = ""
    floor: bool = False


@dataclass(frozen=True, slots=True)
class SuperfatRange:
    """``likely`` adds independent causes as the root of the sum of their squares.

    ``ends`` has everything at its worst at once. ``grade`` is excess, may be excess,
    in order, or intended; ``clears`` says what would clear the first two. Causes stand
    with the one that lowers the superfat most first.
    """

    central: Decimal
    likely: Band
    ends: Band
    grade: str
    causes: tuple[Cause, ...]
    clears: tuple[str, ...]


def floor_upper_end(carbonate: Decimal) -> Decimal:
    """As pure as an alkali can be of which only a floor is known: all but carbonate."""
    return ONE - share(carbonate, "the carbonate in the alkali")
