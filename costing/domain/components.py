"""A unit cost by component, to look at: what each component takes of the whole."""

from dataclasses import dataclass
from decimal import Decimal

from costing.domain.rollup import NANO, Parts

# From the pot outwards, so that the picture reads as the work goes.
ORDER = (
    "oil",
    "alkali",
    "water",
    "additive",
    "fragrance",
    "material",
    "packaging",
    "labour",
    "energy",
    "overhead",
)


@dataclass(frozen=True, slots=True)
class Component:
    """One component: its cost in currency, its share, and its place on a bar.

    ``start`` and ``width`` are thousandths of the bar; a component below zero (a
    credit) has no width.
    """

    name: str
    cost: Decimal
    share: Decimal
    start: Decimal
    width: Decimal


def components(parts: Parts) -> list[Component]:
    """Put the components in the order of the work; the widths fill the bar."""
    names = [name for name in ORDER if parts.get(name)]
    total = sum(parts[name] for name in names)
    bar = sum(max(parts[name], 0) for name in names)
    found, start = [], Decimal(0)
    for name in names:
        width = Decimal(1000 * max(parts[name], 0)) / bar if bar else Decimal(0)
        found.append(
            Component(
                name=name,
                cost=round(Decimal(parts[name]) / NANO, 6),
                share=round(Decimal(parts[name]) / total, 4) if total else Decimal(0),
                start=round(start, 2),
                width=round(width, 2),
            )
        )
        start += width
    return found
