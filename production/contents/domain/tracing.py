"""Which lots went into which: closures and cycles of the found edges."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from graphlib import CycleError, TopologicalSorter


@dataclass(frozen=True, slots=True)
class Edge:
    """Some of ``source`` went into ``target``; grams or pieces of the source."""

    source: str
    target: str
    amount: Decimal


def reached(onward: Mapping[str, Iterable[str]], start: str) -> set[str]:
    """Every lot at any remove, from the ones next to each; never the lot itself."""
    seen, waiting = {start}, [start]
    while waiting:
        for lot in onward.get(waiting.pop(), ()):
            if lot not in seen:
                seen.add(lot)
                waiting.append(lot)
    return seen - {start}


def first_cycle(edges: Iterable[Edge]) -> list[str] | None:
    """Lots that each went into the next, and the last into the first; or None."""
    try:
        _sorter(edges).prepare()
    except CycleError as fault:
        lots: list[str] = fault.args[1]
        return lots[:-1]  # graphlib names the first lot again at the end
    return None


def topological(edges: Iterable[Edge]) -> list[str]:
    """Every lot after all that went into it; a cycle raises graphlib.CycleError."""
    return list(_sorter(edges).static_order())


def net_edges(edges: Iterable[Edge]) -> list[Edge]:
    """One edge a pair, amounts added; a use that was wholly reversed drops out."""
    sums: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for edge in edges:
        sums[edge.source, edge.target] += edge.amount
    return [Edge(*pair, amount) for pair, amount in sums.items() if amount]


def _sorter(edges: Iterable[Edge]) -> TopologicalSorter[str]:
    sorter = TopologicalSorter[str]()
    for edge in edges:
        sorter.add(edge.target, edge.source)
    return sorter
