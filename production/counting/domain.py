"""What was found beside what the book says, and whether somebody must say why."""

from dataclasses import dataclass
from decimal import Decimal

from production.quantities.domain.numbers import plain
from production.stock.domain.balance import BAND

# The last digit of a kitchen balance, in grams: common practice, no source.
LEAST = Decimal(1)
# The share of a lot that dries out of it or is taken up: common practice, no source.
WATER = Decimal("0.2")


@dataclass(frozen=True, slots=True)
class Difference:
    """A count of one lot at one place. ``least`` grams are never asked about.

    Pieces are whole, and no scale stands between them and the eye: ``least`` is zero.
    """

    booked: Decimal
    found: Decimal
    unit: str = "g"
    least: Decimal = LEAST

    @property
    def amount(self) -> Decimal:
        """Signed: below zero something is missing."""
        return self.found - self.booked

    @property
    def size(self) -> Decimal:
        return abs(self.amount)

    @property
    def short(self) -> bool:
        return self.amount < 0

    @property
    def beyond(self) -> bool:
        """Whether it asks for a reason: more than the band, and than the least."""
        least = self.least if self.unit == "g" else Decimal(0)
        return self.size > max(BAND * self.booked, least)

    @property
    def says(self) -> str:
        """As in "30 g less than the 1000 g of the book, 3.0 %"."""
        if not self.amount:
            return "as the book says"
        word = "less" if self.short else "more"
        away = f"{self._said(self.size)} {word} than the {self._said(self.booked)}"
        share = ""
        if self.booked:
            share = f", {self.size / self.booked * 100:.1f} %"
        return f"{away} of the book{share}"

    def _said(self, amount: Decimal) -> str:
        pieces = "piece" if amount == 1 else "pieces"
        return f"{plain(amount)} {'g' if self.unit == 'g' else pieces}"
