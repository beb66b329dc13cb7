"""What one bottle of a product would cost, for who only has its idea."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from django.db.models import prefetch_related_objects

from costing.domain.ideas import Idea, IdeaLine, Quote, chain_of_idea
from costing.domain.planned_bottle import Effort, PlannedBottle, planned_cost_of
from costing.models import IdeaMaterial, ProductIdea
from costing.reads.ideas import IdeaBook, goods_of, idea_book, known_of
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.work_out import Facts
from production.recipes.reads.cooking import balance_step
from production.recipes.reads.planning import NOTHING
from production.record.reads.clock import today

STAGES = ("cook", "dilution", "finishing", "filling")


def planned_bottle(idea: ProductIdea) -> PlannedBottle:
    """The cost of a bottle of a saved idea, by component and line, work and all.

    Refused with what to write where it cannot be worked out yet.
    """
    [found] = planned_bottles([idea])
    if isinstance(found, Refused):
        raise found
    return found


def planned_bottles(ideas: Iterable[ProductIdea]) -> list[PlannedBottle | Refused]:
    """The same of several; the queries do not grow with them."""
    return [found for found, _ in planned_of([as_idea(row) for row in rows_of(ideas)])]


def rows_of(ideas: Iterable[ProductIdea]) -> list[ProductIdea]:
    """With the materials of each at hand."""
    rows = list(ideas)
    prefetch_related_objects(rows, "base", "materials__item", "materials__oil")
    return rows


def planned_of(
    ideas: Sequence[Idea],
) -> list[tuple[PlannedBottle | Refused, IdeaBook | None]]:
    """Each planned alone, so that one that cannot be worked out hides no other."""
    try:
        book = idea_book(ideas)
    except Refused as fault:
        if len(ideas) == 1:
            return [(fault, None)]
        return [planned_of([idea])[0] for idea in ideas]
    facts = facts_of_ideas()
    return [(_planned(idea, book, facts), book) for idea in ideas]


def facts_of_ideas() -> Facts:
    """What does not exist draws from no lot: published values, and the balance."""
    return Facts(NOTHING, today(), balance_step())


def _planned(idea: Idea, book: IdeaBook, facts: Facts) -> PlannedBottle | Refused:
    try:
        return of_so_many(idea, book, facts, idea.pieces)
    except Refused as fault:
        return fault


def of_so_many(
    idea: Idea, book: IdeaBook, facts: Facts, pieces: Decimal
) -> PlannedBottle:
    """The same idea in another size of batch; refused as the planner refuses."""
    chain, top = chain_of_idea(idea, known_of(idea, book))
    return planned_cost_of(chain, top, pieces, facts, goods_of(idea, book), idea.effort)


def as_idea(row: ProductIdea) -> Idea:
    """A saved idea as a plain value."""
    losses = {stage: getattr(row, f"loss_{stage}") for stage in STAGES}
    return Idea(
        name=row.name,
        pieces=row.pieces,
        base=row.base.name if row.base else "",
        lines=tuple(_line(one) for one in row.materials.all()),
        superfat=row.superfat,
        koh_share=row.koh_share,
        koh_purity=row.koh_purity,
        naoh_purity=row.naoh_purity,
        water_per_alkali=row.water_per_alkali,
        lye_strength=row.lye_strength,
        soap_content=row.soap_content,
        fill=row.fill,
        losses={stage: loss for stage, loss in losses.items() if loss is not None},
        effort=Effort(row.minutes_batch, row.minutes_piece, row.rate, row.energy),
    )


def _line(row: IdeaMaterial) -> IdeaLine:
    quote = None
    if row.quote_amount is not None and row.quote_price is not None:
        quote = Quote(row.quote_amount, row.quote_price)
    return IdeaLine(
        place=row.place,
        name=row.called,
        share=row.share,
        each=row.each,
        price_from=row.price_from,
        quote=quote,
    )
