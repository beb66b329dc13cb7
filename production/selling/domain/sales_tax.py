"""What a line of a sale brought: what was paid, the sales tax in it, and the rest.

Revenue is net of what is collected for the authority (IFRS 15.47: amounts collected on
behalf of third parties, such as some sales taxes, are no part of the price).
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from production.quantities.domain.numbers import ZERO, cents
from production.quantities.domain.refusal import Refused

NINE = 9
INSIDE, ON_TOP = "inside", "on top"


@dataclass(frozen=True, slots=True)
class Taxed:
    """``gross`` is what is paid, in the workshop's money; gross = net + tax."""

    gross: Decimal
    tax: Decimal

    @property
    def net(self) -> Decimal:
        """The revenue."""
        return self.gross - self.tax

    def share(self, part: Decimal, whole: Decimal) -> "Taxed":
        """What ``part`` of ``whole`` brought, to nine places; all of it brought all."""
        if part == whole:
            return self
        return Taxed(_portion(self.gross, part, whole), _portion(self.tax, part, whole))

    def less(self, other: "Taxed") -> "Taxed":
        return Taxed(self.gross - other.gross, self.tax - other.tax)


NOTHING = Taxed(ZERO, ZERO)


def _portion(money: Decimal, part: Decimal, whole: Decimal) -> Decimal:
    exact = Fraction(money) * Fraction(part) / Fraction(whole)
    scaled = round(exact * 10**NINE)
    return Decimal(scaled).scaleb(-NINE)


def taxed(
    unit_price: Decimal | None,
    amount: Decimal,
    *,
    rate: Decimal | None,
    tax_is: str,
    typed: Decimal | None,
) -> Taxed | None:
    """What a line brought; None where its price is not known.

    ``rate`` is a fraction, ``tax_is`` whether prices contain it; ``typed`` is the tax
    of the line as its paper says it, and counts before the rate. The tax of a line is
    rounded half up to the cent (common practice, no source: some papers round once at
    their foot, and then the tax is typed). Nobody said anything: none was asked for.
    """
    if unit_price is None:
        return None
    listed = unit_price * amount
    tax = typed
    if tax is None:
        tax = ZERO
        if rate:
            exact = Fraction(listed) * Fraction(rate)
            if tax_is == INSIDE:
                exact /= 1 + Fraction(rate)
            tax = cents(exact)
    return Taxed(listed, tax) if tax_is == INSIDE else Taxed(listed + tax, tax)


def refuse_odd_rate(rate: Decimal | None) -> None:
    if rate is not None and not 0 <= rate < 1:
        raise Refused("A sales tax is from 0 to below 100 %: write 8.25 for 8.25 %.")


def refuse_odd_tax(where: str, tax: Decimal | None) -> None:
    if tax is not None and tax < 0:
        raise Refused(f"{where}: a sales tax is not below zero.")
