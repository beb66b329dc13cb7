"""Figures as a person states them: refused where they cannot be what was meant."""

from decimal import Decimal

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

# No kettle holds more, no balance shows less: beyond these a figure is a slip.
LARGEST = Decimal("1e12")
SMALLEST = Decimal("1e-12")


def stated(value: Decimal | None, what: str) -> Decimal:
    """Refuse a figure that is missing, endless or of no earthly size."""
    if value is None:
        raise Refused(f"State {what}: it is missing.")
    if not value.is_finite():
        raise Refused(f"State {what} as a number: it is {value}.")
    if value and not SMALLEST <= abs(value) <= LARGEST:
        raise Refused(f"Check {what}: {value:.3E} cannot be meant.")
    return value


def not_negative(value: Decimal | None, what: str) -> Decimal:
    """Refuse a figure below 0."""
    value = stated(value, what)
    if value < 0:
        raise Refused(f"State {what} as 0 or more: it is {plain(value)}.")
    return value


def above_zero(value: Decimal | None, what: str) -> Decimal:
    """Refuse 0 and less."""
    value = stated(value, what)
    if value <= 0:
        raise Refused(f"State {what} as more than 0: it is {plain(value)}.")
    return value


def share(value: Decimal | None, what: str) -> Decimal:
    """A fraction from 0 to 1; percent is refused with the question it raises."""
    value = not_negative(value, what)
    if value > 1:
        raise Refused(
            f"State {what} as a fraction from 0 to 1: it is {plain(value)}"
            f"{fraction_hint(value)}."
        )
    return value


def share_above_zero(value: Decimal | None, what: str) -> Decimal:
    """A fraction above 0, up to 1."""
    return share(above_zero(value, what), what)


def fraction_hint(value: Decimal) -> str:
    """Ask whether percent was meant, where the figure could be percent."""
    if 1 <= abs(value) <= 100:
        return f" (did you mean {plain(value / 100)}?)"
    return ""
