"""May a lot be used, sold, given or labelled on this day; if not, why, and who can
lift it.

What the maker expects: soap in which a strong alkali took part, at any remove and in
any kind of batch, stays here until a test has said that none is left. Alkaline is what
has an alkali among its inputs, and soap that came from outside. A passed neutrality
check speaks for what was in the pot when its sample was taken: oil, water, acid or
fragrance added later leaves it standing; alkali, or soap that was never tested, does
not. A check that was not passed binds everything made from that lot, until the lot, or
what was made from it, passes a later one.

What touched alkali, oil or acid counts from the deed that typed it, whatever its date.
"""

from production.fitness.domain.family import (
    ALKALI,
    Check,
    Family,
    Node,
    Pour,
    Shift,
    Stop,
)
from production.fitness.domain.reasons import (
    CAUSTIC,
    Fitness,
    Lifts,
    Mends,
    Purpose,
    Reason,
    cleared,
    fit_for,
)

__all__ = [
    "ALKALI",
    "CAUSTIC",
    "Check",
    "Family",
    "Fitness",
    "Lifts",
    "Mends",
    "Node",
    "Pour",
    "Purpose",
    "Reason",
    "Shift",
    "Stop",
    "cleared",
    "fit_for",
]
