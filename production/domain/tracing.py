"""Which lots went into which: closures and cycles of the found edges."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from graphlib import CycleError, TopologicalSorter


@dataclass(frozen=True, slots=True)
class Edge:
    """Some of ``source`` went into ``target``; grams or pieces of the source."""

    source: str
    target: str
    amount: Decimal


def ancestors(edges: Iterable[Edge], lot: str) -> set[str]:
    """Every lot that went into this one, at any remove; never the lot itself."""
    return _reached(((edge.target, edge.source) for edge in edges), lot)


def descendants(edges: Iterable[Edge], lot: str) -> set[str]:
    """Every lot that this one went into, at any remove; never the lot itself."""
    return _reached(((edge.source, edge.target) for edge in edges), lot)


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


def _reached(steps: Iterable[tuple[str, str]], start: str) -> set[str]:
    onward: dict[str, list[str]] = defaultdict(list)
    for here, there in steps:
        onward[here].append(there)
    seen, waiting = {start}, [start]
    while waiting:
        for lot in onward[waiting.pop()]:
            if lot not in seen:
                seen.add(lot)
                waiting.append(lot)
    return seen - {start}


def _sorter(edges: Iterable[Edge]) -> TopologicalSorter[str]:
    sorter = TopologicalSorter[str]()
    for edge in edges:
        sorter.add(edge.target, edge.source)
    return sorter
