"""A year, or any run of closed months, as one statement: only from what was frozen."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from costing.domain.books import Figures, Late
from costing.domain.statement import Changes, Statement
from production.quantities.domain.refusal import Refused


def run_of(months: Sequence[Statement]) -> Statement:
    """What these months come to together, each following the one before.

    It holds no figure of its own, so that it prints the same for ever. A month of the
    first version has no books: then the run has none either.
    """
    if not months:
        raise Refused("Choose at least one closed month.")
    for one, then in pairwise(months):
        if then.after != one.through:
            raise Refused(
                f"No statement was kept of the days between {one.through} and "
                f"{then.through}: choose months that follow each other."
            )
    first, last = months[0], months[-1]
    together = replace(
        last,
        after=first.after,
        start=first.start,
        came=_sums(one.came for one in months),
        changes=Changes(
            came=sum(one.changes.came for one in months),
            held=sum(one.changes.held for one in months),
            sold=sum(one.changes.sold for one in months),
            lost=sum(one.changes.lost for one in months),
        ),
        sold=sum(one.sold for one in months),
        lost=_sums(one.lost for one in months),
        version=min(one.version for one in months),
    )
    if together.version == 1:
        return replace(
            together, books=Figures(), books_to_date={}, unpriced=(), missing_lots=()
        )
    return replace(together, books=_books([one.books for one in months]))


def _books(months: list[Figures]) -> Figures:
    """Flows added up; what is held is that of the last month."""
    first, last = months[0], months[-1]
    # Each opens with what the one before held: only what was entered is added.
    entered = sum(then.opening - one.held for one, then in pairwise(months))
    return Figures(
        purchases=sum(one.purchases for one in months),
        opening=first.opening + entered,
        making=_sums(one.making for one in months),
        stock=last.stock,
        work_in_progress=last.work_in_progress,
        cost_of_goods_sold=sum(one.cost_of_goods_sold for one in months),
        losses=_sums(one.losses for one in months),
        causes=_sums(one.causes for one in months),
        drawings=sum(one.drawings for one in months),
        late=Late(
            stock=sum(one.late.stock for one in months),
            sold=sum(one.late.sold for one in months),
            lost=sum(one.late.lost for one in months),
        ),
        revenue=sum(one.revenue for one in months),
        sales_tax=sum(one.sales_tax for one in months),
    )


def _sums(rows: Iterable[Mapping[str, int]]) -> dict[str, int]:
    found: Counter[str] = Counter()
    for row in rows:
        for name, nano in row.items():
            found[name] += nano
    return dict(found)
