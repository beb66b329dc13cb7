"""An idea and its variants side by side: line by line, and what tells them apart."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.domain.components import ORDER
from costing.domain.idea_pictures import cents
from costing.domain.planned_bottle import PlannedBottle
from costing.domain.rollup import NANO
from costing.models import ProductIdea
from costing.reads.planned_bottle import planned_bottles
from production.quantities.domain.refusal import Refused

# What is said of an idea beside its lines, for people.
SAID = (
    "pieces",
    "base",
    "superfat",
    "koh_share",
    "water_per_alkali",
    "lye_strength",
    "soap_content",
    "fill",
    "loss_cook",
    "loss_dilution",
    "loss_finishing",
    "loss_filling",
    "minutes_batch",
    "minutes_piece",
    "rate",
    "energy",
)


@dataclass(frozen=True, slots=True)
class Cell:
    """What one costs in one idea, and how much more than in the first; None where it
    is not in it, or is not known. ``unknown`` with a cost: at least so much."""

    cost: Decimal | None
    more: Decimal | None = None
    unknown: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One component or line over all ideas."""

    name: str
    cells: tuple[Cell, ...]

    @property
    def differs(self) -> bool:
        """Whether it is not the same in all of them."""
        return len({(cell.cost, cell.unknown) for cell in self.cells}) > 1


@dataclass(frozen=True, slots=True)
class Said:
    """One fact that differs, in each idea."""

    name: str
    values: tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Side:
    """One idea at the head of its column; ``fault`` where it cannot be worked out."""

    idea: ProductIdea
    bottle: PlannedBottle | None
    cost: Decimal | None
    more: Decimal | None
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Beside:
    """The columns, what tells them apart, and their figures."""

    sides: tuple[Side, ...]
    said: tuple[Said, ...]
    parts: tuple[Row, ...]
    lines: tuple[Row, ...]


def beside(row: ProductIdea) -> Beside:
    """The idea that the variants are of, and they, in the order of their writing."""
    root = row.variant_of or row
    rows = [root, *root.variants.select_related("base").order_by("pk")]
    found = planned_bottles(rows)
    bottles = [None if isinstance(one, Refused) else one for one in found]
    first = bottles[0]
    sides = tuple(
        _side(idea, one, first) for idea, one in zip(rows, found, strict=True)
    )
    return Beside(
        sides=sides,
        said=_said(rows),
        parts=_parts(bottles),
        lines=_lines(bottles),
    )


def _side(
    idea: ProductIdea, one: PlannedBottle | Refused, first: PlannedBottle | None
) -> Side:
    if isinstance(one, Refused):
        return Side(idea, None, None, None, str(one))
    more = None
    if first is not None and one is not first and not (one.missing or first.missing):
        more = cents(one.known) - cents(first.known)
    return Side(idea, one, cents(one.known), more)


def _said(rows: Sequence[ProductIdea]) -> tuple[Said, ...]:
    said = []
    for name in SAID:
        values = tuple(getattr(row, name) for row in rows)
        if len(set(values)) > 1:
            words = ProductIdea._meta.get_field(name).verbose_name
            said.append(Said(str(words).capitalize(), values))
    return tuple(said)


def _parts(bottles: Sequence[PlannedBottle | None]) -> tuple[Row, ...]:
    known = [one for one in bottles if one is not None]
    return tuple(
        _row(name, [_part(name, one) for one in bottles])
        for name in ORDER
        if any(name in one.parts or name in one.unknown_parts for one in known)
    )


def _part(name: str, bottle: PlannedBottle | None) -> tuple[int | None, bool]:
    if bottle is None:
        return None, True
    return bottle.parts.get(name), name in bottle.unknown_parts


def _lines(bottles: Sequence[PlannedBottle | None]) -> tuple[Row, ...]:
    by_name = [
        {line.name: line for line in one.lines} if one else {} for one in bottles
    ]
    names = dict.fromkeys(name for one in by_name for name in one)
    return tuple(
        _row(
            name,
            [
                (one[name].cost, one[name].cost is None)
                if name in one
                else (None, bottle is None)
                for one, bottle in zip(by_name, bottles, strict=True)
            ],
        )
        for name in names
    )


def _row(name: str, costs: Sequence[tuple[int | None, bool]]) -> Row:
    """``costs`` in nano, and whether one is in it and not known."""
    first, cells = _shown(costs[0][0]), []
    for cost, unknown in costs:
        more = None
        if not unknown and not costs[0][1]:
            # Of the figures as they stand there, so that a reader can check it.
            more = _shown(cost) - first or None
        exact = None if cost is None else Decimal(cost) / NANO
        cells.append(Cell(exact, more, unknown))
    return Row(name, tuple(cells))


def _shown(nano: int | None) -> Decimal:
    return cents(Fraction(nano or 0, NANO))
