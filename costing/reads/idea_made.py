"""What was planned of an idea, beside what its bottles really cost."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.domain.components import ORDER
from costing.domain.figures import unit_parts
from costing.domain.idea_pictures import cents
from costing.domain.planned_bottle import PlannedBottle
from costing.domain.rollup import NANO, LotValue
from costing.models import ProductIdea
from costing.reads.book import book_behind
from costing.reads.planned_bottle import planned_bottles
from production.models import Lot
from production.quantities.domain.refusal import Refused

LATEST = 5  # lots that are laid beside the plan


@dataclass(frozen=True, slots=True)
class MadeLot:
    """One lot made by its recipe; ``cost`` None while a price is missing."""

    lot: Lot
    cost: Decimal | None
    parts: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class MadeRow:
    """One component: planned, and of each lot with how much more that is.

    ``planned`` None is unknown; ``at_least`` where a part of it is.
    """

    name: str
    planned: Decimal | None
    made: tuple[tuple[Decimal | None, Decimal | None], ...]
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class MadeOfIt:
    """The lots, latest first, and the rows; the last row is the whole bottle."""

    lots: tuple[MadeLot, ...]
    rows: tuple[MadeRow, ...]
    fault: str = ""
    left_out: tuple[str, ...] = ()


def made_of_it(row: ProductIdea) -> MadeOfIt:
    """Planned at today's prices beside the lots that its recipe made, any version."""
    [planned] = planned_bottles([row])
    lots = _lots(row)
    if isinstance(planned, Refused):
        return MadeOfIt(lots, (), str(planned))
    whole = None if planned.missing else Fraction(planned.at_least)
    names = [
        name
        for name in ORDER
        if name in planned.parts
        or name in planned.unknown_parts
        or any(name in one.parts for one in lots)
    ]
    rows = [_row(name, planned, lots) for name in names]
    costs = tuple((one.cost, _more(one.cost, whole)) for one in lots)
    known = _money(Fraction(planned.at_least))
    total = MadeRow("one bottle", known, costs, at_least=whole is None)
    return MadeOfIt(lots, (*rows, total), left_out=planned.left_out)


def _lots(row: ProductIdea) -> tuple[MadeLot, ...]:
    if row.recipe is None:
        return ()
    made = Lot.objects.filter(batch__version__formula=row.recipe.formula_id)
    lots = list(made.select_related("item", "batch").order_by("-pk")[:LATEST])
    values = book_behind(*lots).valuation.lots if lots else {}
    return tuple(_made(lot, values[lot.code]) for lot in lots)


def _made(lot: Lot, value: LotValue) -> MadeLot:
    if value.unit_cost is None:
        return MadeLot(lot, None, {})
    parts = unit_parts(value.rate_parts, value.unit_cost)
    return MadeLot(lot, cents(value.unit_cost), parts)


def _row(name: str, bottle: PlannedBottle, lots: tuple[MadeLot, ...]) -> MadeRow:
    planned = Fraction(bottle.parts.get(name, 0))
    partly = name in bottle.unknown_parts
    unknown = name in bottle.left_out or (partly and not planned)
    made: list[tuple[Decimal | None, Decimal | None]] = []
    for one in lots:
        if one.cost is None:
            made.append((None, None))
        else:
            cost = Fraction(one.parts.get(name, 0))
            more = None if unknown or partly else _money(cost - planned)
            made.append((_exact(cost), more))
    shown = None if unknown else _exact(planned)
    return MadeRow(name, shown, tuple(made), at_least=partly and not unknown)


def _exact(nano: Fraction) -> Decimal:
    return Decimal(nano.numerator) / nano.denominator / NANO


def _money(nano: Fraction) -> Decimal:
    return cents(nano / NANO)


def _more(cost: Decimal | None, planned: Fraction | None) -> Decimal | None:
    if cost is None or planned is None:
        return None
    return cost - _money(planned)
