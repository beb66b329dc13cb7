"""One idea as its page shows it: the bottle, where each price is from, other sizes."""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.domain.idea_pictures import Size, age, cents, curve, sizes_beside
from costing.domain.ideas import Idea
from costing.domain.planned_bottle import PER, BottleLine, PlannedBottle
from costing.domain.rollup import NANO
from costing.models import ProductIdea
from costing.reads.ideas import IdeaBook
from costing.reads.planned_bottle import (
    as_idea,
    facts_of_ideas,
    of_so_many,
    planned_of,
)
from production.buying.reads.bills import Unknown, unknown_by_lot
from production.models import Item, Workshop
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import POUND
from production.record.reads.clock import today

FOR_EACH: Mapping[str, str] = {
    "g": "1,000 g",
    "piece": "a piece",
    "min": "an hour",
    "batch": "a batch",
}
FROM: Mapping[str, str] = {
    "quote": "quoted",
    "tap": "on tap, by its card",
    "typed": "as typed",
}


@dataclass(frozen=True, slots=True)
class ShownLine:
    """A line for people: what one piece takes, its price and where that is from.

    ``asks`` are the prices in the book that it waits for; ``item`` is its card.
    """

    line: BottleLine
    takes: Decimal
    price: Decimal | None
    per: str
    whence: str
    cost: Decimal | None
    asks: tuple[Unknown, ...] = ()
    item: Item | None = None


@dataclass(frozen=True, slots=True)
class IdeaPage:
    """``bottle`` is None where ``fault`` says why it cannot be worked out yet."""

    bottle: PlannedBottle | None
    fault: str = ""
    cost: Decimal | None = None
    batch: Decimal | None = None
    lines: Sequence[ShownLine] = ()
    curve: Sequence[Size] = ()
    densities: Mapping[int | None, Decimal | None] | None = None


def looked_at(row: ProductIdea) -> IdeaPage:
    """All that its page shows; ``row`` with its materials at hand."""
    idea = as_idea(row)
    [(found, book)] = planned_of([idea])
    if isinstance(found, Refused):
        return IdeaPage(None, str(found))
    assert book is not None
    return IdeaPage(
        bottle=found,
        cost=cents(found.known),
        batch=cents(found.known * Fraction(found.pieces)),
        lines=shown(found, book),
        curve=() if found.missing else _curve(idea, book, found),
        densities={key: item.density for key, item in book.items.items()},
    )


def _curve(idea: Idea, book: IdeaBook, bottle: PlannedBottle) -> list[Size]:
    facts = facts_of_ideas()
    costs = [(bottle.pieces, bottle.known)]
    for pieces in sizes_beside(bottle.pieces):
        if pieces == bottle.pieces:
            continue
        # What is weighed may be too little or too large in another size.
        with suppress(Refused):
            costs.append((pieces, of_so_many(idea, book, facts, pieces).known))
    return curve(sorted(costs), bottle.pieces)


def shown(bottle: PlannedBottle, book: IdeaBook) -> list[ShownLine]:
    """The lines for people, those without a price first; two queries."""
    waits = {code for line in bottle.lines for code in line.price.lots}
    unknown = unknown_by_lot(waits) if waits else {}
    workshop = Workshop.objects.first()
    pounds = workshop is not None and workshop.units == "us"
    found = [_shown(line, bottle, book, pounds, unknown) for line in bottle.lines]
    return sorted(found, key=lambda one: one.cost is not None)


def _shown(
    line: BottleLine,
    bottle: PlannedBottle,
    book: IdeaBook,
    pounds: bool,
    unknown: Mapping[str, list[Unknown]],
) -> ShownLine:
    in_pounds = pounds and line.unit == "g"
    many = Fraction(POUND) if in_pounds else Fraction(PER[line.unit])
    cost = line.price.unit_cost
    takes = line.of_a_piece(bottle.pieces)
    item = book.items.get(line.key) if line.key is not None else None
    return ShownLine(
        line=line,
        takes=_decimal(takes),
        price=None if cost is None else _decimal(cost * many),
        per="1 lb" if in_pounds else FOR_EACH[line.unit],
        whence=_whence(line, item),
        cost=None if line.cost is None else Decimal(line.cost) / NANO,
        asks=tuple(one for code in line.price.lots for one in unknown.get(code, ())),
        item=item,
    )


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / value.denominator


def _whence(line: BottleLine, item: Item | None) -> str:
    """Where its price is from, and how old that is."""
    price = line.price
    if price.on is None or price.whence not in ("last", "stock"):
        return FROM.get(price.whence, "no price is known")
    when = f"{price.on}, {age(price.on, today())}"
    if price.whence == "stock":
        return f"average of the stock, last of it {when}"
    made = item is not None and item.kind == Item.Kind.MADE
    return f"made {when}" if made else f"bought {when}"
