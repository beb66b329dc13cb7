"""What is drawn and is no letter: symbols, bars and the maker's mark; lengths in mm.

The symbols are our own drawings of open standards, ten units high.
"""

from dataclasses import dataclass
from decimal import Decimal

from production.quantities.domain.numbers import ZERO

# The hand that points at a book: Regulation (EC) 1223/2009 Annex VII 1, from memory.
BOOK = (
    "M3.2 1.2H9.6V6.4H6.4 M3.2 1.2V4.6 M6.4 1.2V4.7 "
    "M4 2.4H5.6 M7.2 2.4H8.8 M7.2 3.6H8.8 M7.2 4.8H8.8 "
    "M.5 5.6V9.4 M.5 5.9H1.5C2.1 5.9 2.6 5 3.4 4.7L6.6 4.7C7.5 4.7 7.5 5.8 6.6 5.8H4.9 "
    "M4.9 5.8H6.2C6.9 5.8 6.9 6.9 6.2 6.9H5 M5 6.9H5.9C6.6 6.9 6.6 8 5.9 8H4.8 "
    "M4.8 8H5.4C6.1 8 6.1 9 5.4 9H2.6C2 9 1.8 9.1.5 9.1"
)
# The sign of estimated contents: Directive 2009/34/EC Annex II 3, from memory. Ten
# units high; its outer edge, its upper counter and its lower one, which is open.
ESTIMATED = (
    "M5.2 0C2.1 0 0 2.1 0 5S2.1 10 5.2 10C7.2 10 8.8 9.2 9.8 7.9L9.2 7.5"
    "C8.2 8.8 7 9.3 5.2 9.3C3.5 9.3 2.7 8.6 2.7 7.2V5.4H10.4"
    "C10.5 2.2 8.4 0 5.2 0Z"
    "M2.7 4.5V2.8C2.7 1.4 3.5.7 5.2.7C6.9.7 7.7 1.4 7.7 2.8V4.5Z"
)


@dataclass(frozen=True, slots=True)
class Ink:
    """A path at a place; ``stroke`` is the width of its line in its own units, 0 where
    it is filled. ``width`` and ``height`` is the room that it takes, in mm."""

    what: str
    path: str
    x: Decimal
    y: Decimal
    width: Decimal
    height: Decimal
    scale: Decimal = Decimal(1)
    stroke: Decimal = ZERO


@dataclass(frozen=True, slots=True)
class Mark:
    """The maker's own mark. ``drawn`` is a clean drawing of so many units, or
    ``pixels`` is a picture as a browser takes it in its address, of so many pixels."""

    units_wide: Decimal
    units_high: Decimal
    drawn: str = ""
    pixels: str = ""

    @property
    def shape(self) -> Decimal:
        """Its width for each mm of height."""
        return self.units_wide / self.units_high


@dataclass(frozen=True, slots=True)
class Placed:
    """A mark at a place."""

    mark: Mark
    x: Decimal
    y: Decimal
    width: Decimal
    height: Decimal

    @property
    def scale(self) -> Decimal:
        return self.width / self.mark.units_wide

    @property
    def dots_per_inch(self) -> int | None:
        """Of a picture of pixels; None for a drawing, which is sharp at every size."""
        if not self.mark.pixels:
            return None
        return int(self.mark.units_wide / self.width * Decimal("25.4"))


def box(what: str, x: Decimal, y: Decimal, width: Decimal, height: Decimal) -> Ink:
    """A black rectangle."""
    return Ink(what, f"M0 0h{width}v{height}h-{width}z", x, y, width, height)


def book(x: Decimal, y: Decimal, height: Decimal) -> Ink:
    """See the enclosed leaflet."""
    scale = height / 10
    return Ink("leaflet", BOOK, x, y, height, height, scale, Decimal("0.42"))


def estimated(x: Decimal, y: Decimal, height: Decimal) -> Ink:
    """The e-mark, so high."""
    return Ink("e-mark", ESTIMATED, x, y, height * Decimal("1.05"), height, height / 10)
