"""What was learnt of closed months since they were closed, beside late bills."""

from costing.domain.books import Books
from costing.reads.closed import last_frozen
from costing.reads.figures import figures_of, view_of


def learnt_revenue(books: Books) -> int:
    """The part of the revenue of these books that belongs to days closed before, in
    nano: 0 where the period ends on a closed day, or begins after the first open one.
    """
    closing = last_frozen(books.through)
    if closing is None or closing.through == books.through:
        return 0
    if books.after is not None and books.after > closing.through:
        return 0
    then = figures_of(view_of(closing.through, books.method))
    return then.revenue - closing.figures(books.method, then).revenue
