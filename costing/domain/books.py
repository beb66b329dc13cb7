"""The books of a day or of a period: what came in, what is held, where the rest went.

    opening + purchases + making cost = stock + work in progress + cost of goods sold
                                        + losses + drawings + late bills sold and lost

All figures are whole nano (1e-9 of the workshop's currency). A closed month counts as
it was frozen. What is learnt of it later is a late bill: it stands in the first open
period, inside its purchases (or opening stock, or making cost), and under its own name
by where it was on the last closed day. Losses leave stock at the cost of their lot
(IAS 2.34); which line they stand on is common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from decimal import Decimal
from typing import Any, Literal

Method = Literal["lots", "fifo", "average", "card"]
METHODS: tuple[Method, ...] = ("lots", "fifo", "average", "card")
LOSSES = (
    "given",
    "samples",
    "own_use",
    "discarded",
    "abnormal",
    "counted",
    "development",
)
# Under which loss stands what was given, by its reason; own use may be drawings.
GIVEN = {
    "gift": "given",
    "tester": "given",
    "sample": "samples",
    "laboratory": "samples",
    "retained": "samples",
    "own use": "own_use",
}
# The cause of an abnormal loss that nobody named.
SHORT = "short of the expected"


@dataclass(frozen=True, slots=True)
class Late:
    """What was learnt of closed months since they were frozen, by where it was on the
    last closed day.

    ``stock`` (with what stands in open batches) is inside the stock and the work in
    progress already; ``lost`` holds losses and drawings.
    """

    stock: int = 0
    sold: int = 0
    lost: int = 0


@dataclass(frozen=True, slots=True)
class Figures:
    """What came and went, and what is held at the end, in nano.

    ``making`` is split by kind of work (labour, energy, overhead), ``losses`` by the
    names in ``LOSSES``, ``causes`` are the abnormal ones by what they were called.
    ``purchases`` are less what suppliers got back. ``revenue`` is the priced part, and
    ``sales_tax`` the tax on top of it.
    """

    purchases: int = 0
    opening: int = 0
    making: Mapping[str, int] = field(default_factory=dict)
    stock: int = 0
    work_in_progress: int = 0
    cost_of_goods_sold: int = 0
    losses: Mapping[str, int] = field(default_factory=dict)
    causes: Mapping[str, int] = field(default_factory=dict)
    drawings: int = 0
    late: Late = Late()
    revenue: int = 0
    sales_tax: int = 0

    @property
    def making_cost(self) -> int:
        return sum(self.making.values())

    @property
    def begun(self) -> bool:
        """Whether anything came in by then."""
        return bool(self.purchases or self.opening or self.making_cost)

    @property
    def held(self) -> int:
        """Stock and what stands in open batches."""
        return self.stock + self.work_in_progress

    @property
    def lost(self) -> int:
        """All losses and drawings, without late bills."""
        return sum(self.losses.values()) + self.drawings

    @property
    def margin(self) -> int:
        """Revenue less cost of goods sold; late bills stand apart."""
        return self.revenue - self.cost_of_goods_sold

    @property
    def difference(self) -> int:
        """What came less where it is: 0, or the books do not add up."""
        came = self.opening + self.purchases + self.making_cost
        went = self.held + self.cost_of_goods_sold + self.lost
        return came - went - self.late.sold - self.late.lost


def the_same(now: Figures, frozen: Figures) -> bool:
    """Whether nothing was learnt of a closed day since; ``now`` has no late bills."""
    sold = frozen.cost_of_goods_sold + frozen.late.sold
    lost = frozen.lost + frozen.late.lost
    told = replace(
        frozen, cost_of_goods_sold=sold, losses={}, causes={}, drawings=0, late=Late()
    )
    plain = replace(now, losses={}, causes={}, drawings=0, late=Late())
    return plain == told and now.lost == lost


def _combined(a: Figures, b: Figures, sign: int) -> Figures:
    found: dict[str, Any] = {}
    for one in fields(Figures):
        x, y = getattr(a, one.name), getattr(b, one.name)
        if isinstance(x, Late):
            found[one.name] = Late(
                x.stock + sign * y.stock, x.sold + sign * y.sold, x.lost + sign * y.lost
            )
        elif isinstance(x, int):
            found[one.name] = x + sign * y
        else:
            names = [*x, *(name for name in y if name not in x)]
            found[one.name] = {
                name: x.get(name, 0) + sign * y.get(name, 0) for name in names
            }
    return Figures(**found)


def after_closing(now: Figures, then: Figures, frozen: Figures) -> Figures:
    """The books since they began, on a day after a closing.

    ``now`` are those of the day and ``then`` those of the closed day, both as known
    now and without late bills; ``frozen`` those of the closed day as it was closed.
    """
    since = _combined(now, then, -1)
    told = _combined(frozen, since, 1)
    return replace(
        told,
        purchases=now.purchases,
        opening=now.opening,
        making=now.making,
        stock=now.stock,
        work_in_progress=now.work_in_progress,
        revenue=now.revenue,
        sales_tax=now.sales_tax,
        late=Late(
            stock=frozen.late.stock + then.held - frozen.held,
            sold=then.cost_of_goods_sold - frozen.cost_of_goods_sold,
            lost=then.lost - frozen.lost,
        ),
    )


def between(end: Figures, start: Figures) -> Figures:
    """The books of the days after ``start`` through ``end``, both since they began.

    ``opening`` is what was held at the start and the opening stock entered since.
    """
    told = _combined(end, start, -1)
    return replace(
        told,
        opening=start.held + told.opening,
        stock=end.stock,
        work_in_progress=end.work_in_progress,
    )


@dataclass(frozen=True, slots=True)
class Held:
    """What was left of a lot, or of a layer or pool of an item, at the end of the day.

    ``lot`` is "" for a pool; ``value`` None is not known.
    """

    lot: str
    item: str
    kind: str
    amount: Decimal
    unit: str
    value: int | None


@dataclass(frozen=True, slots=True)
class Books:
    """The report. ``after`` None: since the book began; else the day before its first.

    ``held_before`` is the part of ``figures.opening`` that was held at the start.
    ``missing`` names lots without a price and ``asks`` says so in sentences: the
    figures are then only the known part. ``unpriced`` are lines of sales in the period
    that nobody has priced: revenue is then only a part. ``frozen`` is the last closed
    day whose frozen figures are in it.
    """

    method: Method
    currency: str
    after: date | None
    through: date
    figures: Figures
    held_before: int = 0
    stock: tuple[Held, ...] = ()
    missing: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    unpriced: tuple[str, ...] = ()
    frozen: date | None = None

    @property
    def known(self) -> bool:
        """Whether every cost in it is known."""
        return not self.missing and not self.asks

    @property
    def revenue(self) -> int | None:
        """None while a line of a sale has no price."""
        return None if self.unpriced else self.figures.revenue

    @property
    def margin(self) -> int | None:
        """Revenue less cost of goods sold; None while one of them is not known."""
        return self.figures.margin if self.known and not self.unpriced else None

    def by_kind(self) -> dict[str, int | None]:
        """The stock by kind of item: material, packaging, made."""
        found: dict[str, int | None] = {}
        for row in self.stock:
            before = found.get(row.kind, 0)
            unknown = row.value is None or before is None
            found[row.kind] = None if unknown else (before or 0) + (row.value or 0)
        return found
