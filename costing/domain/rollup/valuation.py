"""The whole book rolled up: value follows the lots, and none of it is lost."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from costing.domain.rollup.lots import Flow, LotNode, LotValue, follow
from costing.domain.rollup.parts import Parts, add, without_zeros
from production.quantities.domain.refusal import Refused

# How a lot is lost; of a trial that was not promoted this is development.
LOST = {"given", "discarded", "counted"}


class Circle(Refused):
    """Lots that are made from themselves; ``way`` are their codes, each before the
    one that it went into."""

    def __init__(self, way: list[str]) -> None:
        super().__init__(
            f"Lot {way[0]} is made from itself ({', '.join(way)}): correct the use "
            "that closes the circle."
        )
        self.way = way


@dataclass(frozen=True, slots=True)
class BatchNode:
    """A batch's making cost, and the lot it made (None while it is open).

    ``trial`` is a trial that nobody promoted; ``lost`` a batch that is lost whole.
    """

    code: str
    work: Parts
    lot: str | None
    trial: bool = False
    lost: bool = False


@dataclass(frozen=True, slots=True)
class InProgress:
    """What an open batch holds: what it used and its work."""

    inside: Parts
    missing: frozenset[str]


@dataclass(frozen=True, slots=True)
class Totals:
    """The whole book in nano; each figure is added up by its own route.

    ``development`` is what trials hold and lost, until they are promoted: an expense,
    and so a part of ``losses``. What of them went into another batch went with it.
    ``sent_back`` is what suppliers got back, at its cost: no loss. What they credit for
    it is money, and stands in no lot.
    """

    purchases: int
    opening: int
    making_cost: int
    work_in_progress: int
    stock: int
    cost_of_goods_sold: int
    abnormal: int
    given: int
    discarded: int
    counted: int
    development: int = 0
    sent_back: int = 0

    @property
    def losses(self) -> int:
        """All that is expensed and was not sold."""
        lost = self.abnormal + self.given + self.discarded + self.counted
        return lost + self.development


@dataclass(frozen=True, slots=True)
class Valuation:
    """Every lot's value, inputs before what is made of them, and what they add up to.

    ``in_progress`` are open batches, ``lost`` those that ended with no lot.

    While ``missing`` names a lot, the totals are only the known part.
    """

    lots: Mapping[str, LotValue]
    in_progress: Mapping[str, InProgress]
    lost: Mapping[str, InProgress]
    missing: frozenset[str]
    totals: Totals


def roll_up(lots: Iterable[LotNode], batches: Iterable[BatchNode]) -> Valuation:
    """Give every lot its value and every outflow its cost, inputs first.

    Refused when a lot is made from itself, goes below zero, or takes back more than
    was sold. Specific identification (IAS 2.23) over a graph of lots; normal loss is
    absorbed and abnormal loss expensed (IAS 2.16(a)). A trial is an expense until it
    is promoted, since nobody may sell it (IAS 2.6: stock is held for sale or to be
    used up in making what is).
    """
    nodes = {lot.code: lot for lot in lots}
    batch_nodes = {batch.code: batch for batch in batches}
    makes = {
        batch.code: batch.lot
        for batch in batch_nodes.values()
        if batch.lot and nodes[batch.lot].started
    }
    inside = {code: dict(batch.work) for code, batch in batch_nodes.items()}
    unpriced: dict[str, frozenset[str]] = dict.fromkeys(batch_nodes, frozenset())
    values: dict[str, LotValue] = {}
    for code in _inputs_first(nodes, makes):
        node = nodes[code]
        total = dict(node.bought)
        missing = frozenset() if node.known else frozenset([code])
        if node.batch in makes:
            add(total, inside.pop(node.batch))
            missing |= unpriced[node.batch]
        trial = node.batch in batch_nodes and batch_nodes[node.batch].trial
        value = values[code] = follow(node, total, missing, trial)
        for flow in node.flows:
            if flow.kind == "used":
                into = batch_of(flow, node)
                add(inside[into], value.taken[flow.id])
                unpriced[into] |= value.missing
    open_now = {
        code: InProgress(without_zeros(parts), unpriced[code])
        for code, parts in inside.items()
    }
    return Valuation(
        lots=values,
        in_progress={c: at for c, at in open_now.items() if not batch_nodes[c].lost},
        lost={c: at for c, at in open_now.items() if batch_nodes[c].lost},
        missing=frozenset[str]().union(*(value.missing for value in values.values())),
        totals=_totals(nodes, batch_nodes, values, inside),
    )


def difference(totals: Totals) -> int:
    """What came in less where it went, in nano: 0, or the book does not balance."""
    came = totals.purchases + totals.opening + totals.making_cost
    went = totals.stock + totals.work_in_progress + totals.cost_of_goods_sold
    return came - (went + totals.losses + totals.sent_back)


def _inputs_first(nodes: Mapping[str, LotNode], makes: Mapping[str, str]) -> list[str]:
    order: TopologicalSorter[str] = TopologicalSorter(dict.fromkeys(nodes, ()))
    for node in nodes.values():
        for flow in node.flows:
            if flow.kind == "used" and (batch := batch_of(flow, node)) in makes:
                order.add(makes[batch], node.code)
    try:
        return list(order.static_order())
    except CycleError as circle:
        raise Circle(list(circle.args[1])) from None


def batch_of(flow: Flow, node: LotNode) -> str:
    """The batch that a use went into."""
    if flow.batch is None:
        raise ValueError(f"use {flow.id} of lot {node.code} names no batch")
    return flow.batch


def _totals(
    nodes: Mapping[str, LotNode],
    batch_nodes: Mapping[str, BatchNode],
    values: Mapping[str, LotValue],
    inside: Mapping[str, Parts],
) -> Totals:
    gone = _gone(nodes, values)
    held: Counter[str] = Counter()
    for code, parts in inside.items():
        batch = batch_nodes[code]
        kind = "trial" if batch.trial else "lost" if batch.lost else "open"
        held[kind] += sum(parts.values())
    bought = [(node.opening, sum(node.bought.values())) for node in nodes.values()]
    return Totals(
        purchases=sum(nano for opening, nano in bought if not opening),
        opening=sum(nano for opening, nano in bought if opening),
        making_cost=sum(sum(batch.work.values()) for batch in batch_nodes.values()),
        work_in_progress=held["open"],
        stock=sum(sum(value.stock.values()) for value in values.values()),
        cost_of_goods_sold=gone["sold"] + gone["returned"],
        abnormal=held["lost"]
        + sum(
            sum(value.abnormal.values()) for value in values.values() if not value.trial
        ),
        given=gone["given"],
        discarded=gone["discarded"],
        counted=gone["counted"],
        development=gone["development"]
        + held["trial"]
        + sum(
            sum(value.left.values()) + sum(value.abnormal.values())
            for value in values.values()
            if value.trial
        ),
        sent_back=gone["sent back"],
    )


def _gone(nodes: Mapping[str, LotNode], values: Mapping[str, LotValue]) -> Counter[str]:
    """What left the lots, by kind; what a trial lost is development."""
    gone: Counter[str] = Counter()
    for code, node in nodes.items():
        value = values[code]
        for flow in node.flows:
            if flow.id in value.taken:
                lost = value.trial and flow.kind in LOST
                kind = "development" if lost else flow.kind
                gone[kind] += sum(value.taken[flow.id].values())
    return gone
