"""What products cost that no lot was made of yet: as their ideas plan them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from costing.domain.planned_bottle import BottleLine, PlannedBottle
from costing.domain.rollup import NANO
from costing.domain.variances import Put
from costing.models import ProductIdea
from costing.reads.ideas import IdeaBook
from costing.reads.lot_costs import ZERO, LotCost, Opened, key_of
from costing.reads.planned_bottle import as_idea, planned_of, rows_of
from production.models import Item
from production.quantities.domain.refusal import Refused


@dataclass(frozen=True, slots=True)
class PlannedPiece:
    """One piece of an idea; ``opened`` None, or without a cost: ``says`` why."""

    idea: ProductIdea
    opened: Opened | None
    says: str = ""


def planned_pieces(ideas: Iterable[ProductIdea]) -> list[PlannedPiece]:
    """Each as it would cost; the queries do not grow with the ideas."""
    rows = rows_of(ideas)
    found = planned_of([as_idea(row) for row in rows])
    return [_piece(row, *one) for row, one in zip(rows, found, strict=True)]


def planned_for(items: Sequence[Item]) -> dict[int, PlannedPiece]:
    """By the key of the product whose recipe was written from an idea, the last one."""
    rows = ProductIdea.objects.filter(recipe__formula__makes__in=items)
    rows = rows.select_related("recipe__formula").order_by("pk")
    last = {row.recipe.formula.makes_id: row for row in rows}
    pieces = planned_pieces(last.values()) if last else []
    return dict(zip(last, pieces, strict=True))


def _piece(
    row: ProductIdea, found: PlannedBottle | Refused, book: IdeaBook | None
) -> PlannedPiece:
    if isinstance(found, Refused):
        return PlannedPiece(row, None, str(found))
    assert book is not None
    parts = {name: Fraction(nano, NANO) for name, nano in found.parts.items()}
    says = ""
    if found.missing:
        names = ", ".join(line.name for line in found.missing)
        says = f"No price is known yet of: {names}."
    puts = {_key(line): _put(line, found) for line in found.lines}
    items = {key_of(key): item for key, item in book.items.items()}
    cost = LotCost(None, None if says else parts)
    return PlannedPiece(row, Opened(cost, puts, items), says)


def _key(line: BottleLine) -> str:
    return line.component if line.key is None else key_of(line.key)


def _put(line: BottleLine, bottle: PlannedBottle) -> Put:
    """What one piece takes: grams, pieces or hours."""
    amount = line.of_a_piece(bottle.pieces)
    if line.unit == "min":
        amount /= 60
    cost = ZERO if line.cost is None else Fraction(line.cost, NANO)
    return Put(line.component, amount, cost)
