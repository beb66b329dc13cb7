"""Rounding and sharing: every figure is a Decimal, and shares add up exactly."""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

ZERO, ONE = Decimal(0), Decimal(1)
MILLIGRAM = Decimal("0.001")
MONEY_STEP = Decimal("0.0001")
CENT = Decimal("0.01")
# The finest share of the whole that the book keeps.
SHARE_STEP = Decimal("0.000001")


def grams(value: Decimal | Fraction) -> Decimal:
    """Round an amount half up to 0.001 g (or 0.001 piece)."""
    return _half_up(value, MILLIGRAM)


def money(value: Decimal | Fraction) -> Decimal:
    """Round typed money half up to 4 places."""
    return _half_up(value, MONEY_STEP)


def cents(value: Decimal | Fraction) -> Decimal:
    """Round money half up to the cent, as it is paid and shown in sums."""
    return _half_up(value, CENT)


def as_weighed(value: Decimal) -> Decimal:
    """As a kitchen balance shows it: 0.1 g from 100 g up, 0.01 g below."""
    step = "0.1" if abs(value) >= 100 else "0.01"
    return value.quantize(Decimal(step), ROUND_HALF_UP)


def _half_up(value: Decimal | Fraction, step: Decimal) -> Decimal:
    if isinstance(value, Fraction):
        value = Decimal(value.numerator) / Decimal(value.denominator)
    return value.quantize(step, rounding=ROUND_HALF_UP)


# Figures before the point and behind it: beyond them one was mistyped, and writing it
# out would fill the memory.
_FIGURES = 40


def too_far(value: Decimal) -> bool:
    """Whether a typed figure is endless, or has more places than anything here."""
    if not value.is_finite():
        return True
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)
    return value.adjusted() > _FIGURES or exponent < -_FIGURES


def whole_number(text: str) -> int | None:
    """A number of a row or a count: 0-9 alone, and no more than a database can keep.

    ``str.isdigit`` takes a superscript two for a digit; ``int`` does not.
    """
    bare = text.strip()
    return int(bare) if bare.isascii() and bare.isdigit() and len(bare) <= 18 else None


def plain(value: Decimal) -> str:
    """Write a Decimal with no exponent and no needless zeros: ``740``, ``0.5``."""
    text = f"{value:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def grouped(value: Decimal, *, places: bool = False) -> str:
    """As a page prints it: ``12 345.6`` in groups of three, with a real minus.

    Between the groups stands a narrow no-break space (SI Brochure, 9th edition, 5.4.4:
    no dot or comma), so that what is copied has one reading. ``places`` keeps zeros.
    """
    text = f"{abs(value):f}" if places else plain(abs(value))
    whole, _, part = text.partition(".")
    minus = "\N{MINUS SIGN}" if value < 0 else ""
    spaced = f"{int(whole):,}".replace(",", "\N{NARROW NO-BREAK SPACE}")
    return f"{minus}{spaced}" + (f".{part}" if part else "")


def share_units(total: int, weights: Sequence[Decimal | int | Fraction]) -> list[int]:
    """Split a whole number in proportion; the parts add up to it exactly.

    Rounds each share down, then hands the units left over to the largest
    remainders, ties to the lowest place. A negative total is the mirror image.
    Raises ValueError unless the weights are non-negative and have a sum above 0.
    """
    exact = [Fraction(weight) for weight in weights]
    whole = sum(exact)
    if whole <= 0 or min(exact) < 0:
        raise ValueError("weights must be non-negative and add up to more than 0")
    if total < 0:
        return [-part for part in share_units(-total, weights)]
    shares = [total * weight / whole for weight in exact]
    parts = [int(share) for share in shares]
    by_remainder = sorted(
        range(len(parts)), key=lambda place: (parts[place] - shares[place], place)
    )
    for place in by_remainder[: total - sum(parts)]:
        parts[place] += 1
    return parts


def share_out(
    total: Decimal, weights: Sequence[Decimal | int | Fraction], unit: Decimal
) -> list[Decimal]:
    """Split an amount that is a whole number of ``unit`` by largest remainder."""
    steps = total / unit
    if steps != steps.to_integral_value():
        raise ValueError(f"{total} is not a whole number of {unit}")
    return [part * unit for part in share_units(int(steps), weights)]
