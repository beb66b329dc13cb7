"""The accountant's formulas: the same issues, drawn by item in another order.

IAS 2.25 lets interchangeable goods be valued first in, first out, or at an average
cost; 2.27 lets the average be worked out at each receipt (moving average). Which lot
was really taken stands in the book and is the truth of costing; here each issue of an
item is drawn again from its layers in the book's order, and the roll-up values what
comes of it. So what a batch makes follows its inputs as drawn here, and what goes into
it later adds to what it made.

A pool that is averaged is a lot of its own: at each receipt what is left of the pool
and what came are poured together.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Literal

from costing.domain.rollup import (
    OUTFLOWS,
    BatchNode,
    Circle,
    Flow,
    LotNode,
    Valuation,
    roll_up,
    thousandths,
)

Formula = Literal["lots", "fifo", "average"]
# A mark that no code of a lot or batch can hold.
POOL = "\0"


@dataclass(frozen=True, slots=True)
class Redrawn:
    """The book drawn again. ``of`` leads from a flow here to its entry in the book."""

    lots: list[LotNode]
    batches: list[BatchNode]
    valuation: Valuation
    of: Mapping[int, int]


def redraw(
    lots: Iterable[LotNode],
    batches: Iterable[BatchNode],
    events: Sequence[tuple[str, int | None]],
    pool_of: Mapping[str, str],
    formula_of: Callable[[str], Formula],
) -> Redrawn:
    """Draw every issue again and value the book.

    ``events`` are (lot, flow) in the book's order, the flow None where the lot begins.
    ``pool_of`` says which pool a lot belongs to; a lot without one stays as it is.
    """
    drawing = _Drawing(list(lots), list(batches), pool_of, formula_of)
    for code, flow in events:
        drawing.book(code, flow)
    return drawing.valued()


@dataclass(slots=True)
class _Layer:
    code: str
    left: int


@dataclass(slots=True)
class _Pool:
    """What is left of an item, the oldest first; an average has one layer that counts.

    ``sold`` remembers what each sale line took, so that it comes back at that cost.
    """

    layers: list[_Layer] = field(default_factory=list)
    head: int = 0
    sold: dict[int | None, list[tuple[_Layer, int]]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def move_head(self) -> None:
        while self.head < len(self.layers) and not self.layers[self.head].left:
            self.head += 1

    @property
    def full(self) -> list[_Layer]:
        return [one for one in self.layers[self.head :] if one.left]


class _Drawing:
    """The book while it is drawn again."""

    def __init__(
        self,
        lots: list[LotNode],
        batches: list[BatchNode],
        pool_of: Mapping[str, str],
        formula_of: Callable[[str], Formula],
    ) -> None:
        self.nodes = {node.code: node for node in lots}
        self.flow = {flow.id: flow for node in lots for flow in node.flows}
        self.batches = batches
        self.pool_of, self.formula_of = pool_of, formula_of
        self.pools: dict[str, _Pool] = defaultdict(_Pool)
        self.own: dict[str, _Layer] = {}
        self.flows: dict[str, list[Flow]] = {code: [] for code in self.nodes}
        self.of: dict[int, int] = {}
        self.made = {batch.lot: batch.code for batch in batches if batch.lot}
        self.finished: set[str] = set()
        self.later: list[Flow] = []

    # -- one event after the other

    def book(self, code: str, flow: int | None) -> None:
        name = self.pool_of.get(code, "")
        formula = self.formula_of(name) if name else "lots"
        if formula == "lots":
            name = f"{POOL}{code}"
        pool = self.pools[name]
        if flow is None:
            self._begin(pool, code, formula)
        else:
            self._go(pool, code, self.flow[flow], formula)

    def _begin(self, pool: _Pool, code: str, formula: Formula) -> None:
        if code in self.own:
            return
        layer = self.own[code] = _Layer(code, thousandths(self.nodes[code].started))
        if code in self.made:
            self.finished.add(self.made[code])
        self._add(pool, layer, formula)

    def _add(self, pool: _Pool, layer: _Layer, formula: Formula) -> None:
        if formula == "average":
            held = [*pool.full, layer]
            layer = held[0] if len(held) == 1 else self._poured(held)
            pool.layers, pool.head = [layer], 0
        else:
            pool.layers.append(layer)

    def _poured(self, held: list[_Layer]) -> _Layer:
        """What is left of a pool and what came to it, as one lot."""
        code = f"{POOL}{len(self.batches)}"
        total = sum(one.left for one in held)
        for one in held:
            self._write(one.code, None, "used", -one.left, batch=code)
            one.left = 0
        self.batches.append(BatchNode(code, {}, code))
        self.nodes[code] = LotNode(
            code, Decimal(total) / 1000, {}, True, code, None, ()
        )
        self.flows[code] = []
        return _Layer(code, total)

    def _go(self, pool: _Pool, code: str, flow: Flow, formula: Formula) -> None:
        amount = thousandths(flow.amount)
        if flow.kind == "moved":
            return
        if flow.kind == "reweighed":
            self._reweigh(pool, code, flow, amount)
        elif flow.kind == "returned":
            self._take_back(pool, flow, amount, formula)
        elif flow.kind == "counted" and amount >= 0:
            self._more(self._growing(pool, code), flow, amount)
        elif flow.kind in OUTFLOWS:
            self._draw(pool, flow, -amount)
        else:
            raise ValueError(f"unknown kind of flow: {flow.kind}")

    def _draw(self, pool: _Pool, flow: Flow, amount: int) -> None:
        while amount:
            pool.move_head()
            layer = pool.layers[pool.head]
            part = min(amount, layer.left)
            layer.left -= part
            amount -= part
            if flow.kind == "sold":
                pool.sold[flow.sale].append((layer, part))
            self._write(layer.code, flow, flow.kind, -part)

    def _take_back(
        self, pool: _Pool, flow: Flow, amount: int, formula: Formula
    ) -> None:
        """What left last comes back first, each at what it left with."""
        took = pool.sold[flow.sale]
        while amount:
            layer, sold = took.pop()
            part = min(amount, sold)
            if part < sold:
                took.append((layer, sold - part))
            amount -= part
            self._more(layer, flow, part)
            if formula == "average" and layer is not pool.layers[-1]:
                self._add(pool, layer, formula)
        pool.head = 0

    def _growing(self, pool: _Pool, code: str) -> _Layer:
        """Where a surplus is found: its own layer, or the last that holds something."""
        own = self.own[code]
        if own.left:
            return own
        full = pool.full
        return full[-1] if full else pool.layers[-1] if pool.layers else own

    def _more(self, layer: _Layer, flow: Flow, amount: int) -> None:
        layer.left += amount
        self._write(layer.code, flow, flow.kind, amount)

    def _reweigh(self, pool: _Pool, code: str, flow: Flow, amount: int) -> None:
        """Weighed anew, at the same cost; no layer is weighed away whole."""
        if amount > 0:
            self._more(self._growing(pool, code), flow, amount)
            pool.head = 0
            return
        less = -amount
        full = pool.full
        for layer in sorted(full, key=lambda one: one is not self.own[code]):
            part = min(less, layer.left - 1)
            if part > 0:
                layer.left -= part
                less -= part
                self._write(layer.code, flow, "reweighed", -part)
        if less:
            self._draw(pool, replace(flow, kind="counted"), less)

    def _write(
        self,
        code: str,
        flow: Flow | None,
        kind: str,
        amount: int,
        batch: str | None = None,
    ) -> None:
        number = len(self.of) + 1
        into = batch if flow is None else flow.batch
        one = Flow(
            number,
            kind,  # type: ignore[arg-type]
            Decimal(amount) / 1000,
            into,
            None if flow is None else flow.sale,
        )
        self.of[number] = 0 if flow is None else flow.id
        self.flows[code].append(one)
        if kind == "used" and into in self.finished:
            self.later.append(one)

    # -- what it is worth

    def valued(self) -> Redrawn:
        """Where a later input would go round in a circle, which only what was drawn
        here can do, it is taken as the cost of what was sold."""
        while True:
            nodes = [
                replace(node, flows=tuple(self.flows[code]))
                for code, node in self.nodes.items()
            ]
            try:
                found = roll_up(nodes, self.batches)
            except Circle as circle:
                self._open(circle)
                continue
            of = {here: there for here, there in self.of.items() if there}
            return Redrawn(nodes, self.batches, found, of)

    def _open(self, circle: Circle) -> None:
        around = {self.made[code] for code in circle.way if code in self.made}
        for flow in reversed(self.later):
            if flow.batch in around:
                for code in circle.way:
                    flows = self.flows.get(code, [])
                    if flow in flows:
                        sold = replace(flow, kind="sold", batch=None, sale=None)
                        flows[flows.index(flow)] = sold
                        self.later.remove(flow)
                        return
        raise circle
