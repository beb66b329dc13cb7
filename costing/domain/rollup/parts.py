"""Whole nano and whole thousandths: the small arithmetic of the roll-up."""

from collections.abc import Mapping
from decimal import Decimal

NANO = 10**9
Parts = Mapping[str, int]


def thousandths(amount: Decimal) -> int:
    """Turn grams or pieces into whole thousandths; ValueError where they are finer."""
    scaled = amount * 1000
    whole = int(scaled)
    if whole != scaled:
        raise ValueError(f"{amount} is finer than 0.001")
    return whole


def portion(value: int, part: int, whole: int) -> int:
    """``value x part / whole``, half away from zero; part >= 0, whole > 0."""
    size = (2 * abs(value) * part + whole) // (2 * whole)
    return size if value >= 0 else -size


def add(into: dict[str, int], parts: Parts) -> None:
    """Add parts into a running sum, component by component."""
    for name, nano in parts.items():
        into[name] = into.get(name, 0) + nano


def without_zeros(parts: Parts) -> Parts:
    """Leave out the components that are zero."""
    return {name: nano for name, nano in parts.items() if nano}
