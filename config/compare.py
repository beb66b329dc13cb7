"""Two versions of recipes side by side, with what their materials would cost."""

from dataclasses import dataclass
from decimal import Decimal

from costing.domain.planned import Beside, PlannedCost, beside, less
from costing.reads import Planned, plan_costs
from production.models import Version


@dataclass(frozen=True, slots=True)
class Total:
    """A sum at the foot; None is unknown. ``of_a``: whether A has such a sum at all."""

    words: str
    a: Decimal | None
    b: Decimal | None
    difference: Decimal | None
    of_a: bool = True
    of_b: bool = True

    @property
    def of_both(self) -> bool:
        """Whether there is a difference to speak of."""
        return self.of_a and self.of_b


@dataclass(frozen=True, slots=True)
class CostComparison:
    """Lines of both, their totals, and what is missing of each.

    Not ``alike``: one is weighed and one is counted, so no difference is drawn.
    """

    a: Planned
    b: Planned
    rows: tuple[Beside, ...]
    totals: tuple[Total, ...]
    alike: bool

    @property
    def sides(self) -> tuple[Planned, Planned]:
        return self.a, self.b


def compare_costs(one: Version, other: Version) -> CostComparison:
    """Both at the latest prices; neither writes nor asks more for longer recipes."""
    a, b = plan_costs(one, other)
    if a.cost is None or b.cost is None:
        return CostComparison(a, b, (), (), alike=False)
    alike = a.cost.counted == b.cost.counted
    totals = [_total(_made(a.cost, b.cost), a.cost.total, b.cost.total)]
    if a.cost.oils or b.cost.oils:
        cooks = bool(a.cost.oils), bool(b.cost.oils)
        oils = a.cost.per_oils, b.cost.per_oils
        totals.append(_total("1,000 g of oils", *oils, *cooks))
    return CostComparison(a, b, beside(a.cost, b.cost), tuple(totals), alike)


def _made(a: PlannedCost, b: PlannedCost) -> str:
    words = {False: "1,000 g made", True: "one piece"}
    return " or ".join(dict.fromkeys(words[cost.counted] for cost in (a, b)))


def _total(
    words: str,
    a: Decimal | None,
    b: Decimal | None,
    of_a: bool = True,
    of_b: bool = True,
) -> Total:
    return Total(words, a, b, less(b, a), of_a, of_b)
