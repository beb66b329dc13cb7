"""Values as text, to nine places and no further."""

from decimal import Decimal
from fractions import Fraction

from costing.domain.rollup import NANO, Parts
from production.quantities.domain.numbers import share_units


def money_of(nano: int) -> str:
    """Nano as a figure with nine places, exactly."""
    return f"{Decimal(nano) / NANO:.9f}"


def whole_nano(cost: Fraction) -> int:
    """Round half away from zero to a whole nano."""
    scaled = abs(cost) * NANO
    whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return whole if cost >= 0 else -whole


def nine(cost: Fraction | None) -> str | None:
    """A unit cost to nine places; None while it is not known."""
    return None if cost is None else money_of(whole_nano(cost))


def parts_of(parts: Parts) -> dict[str, str]:
    """Every component with its figure, in the order of the alphabet."""
    return {name: money_of(parts[name]) for name in sorted(parts)}


def unit_parts(parts: Parts, cost: Fraction) -> Parts:
    """A unit cost by component; the parts add up to it at nine places.

    A component below zero (a credit larger than its price) is split on its own.
    """
    names = [name for name in sorted(parts) if parts[name]]
    total = sum(parts.values())
    if not names or total == 0:
        return {}
    if min(parts[name] for name in names) < 0:
        rounded = {name: whole_nano(cost * parts[name] / total) for name in names}
        rounded[names[-1]] += whole_nano(cost) - sum(rounded.values())
        return rounded
    shares = share_units(whole_nano(cost), [parts[name] for name in names])
    return dict(zip(names, shares, strict=True))
