"""Closures, cycles and quantities against an independent graph library.

Source: networkx (nx.ancestors, nx.descendants, nx.is_directed_acyclic_graph), on random
graphs and on a small season of our own invention, whose closures were
also worked out by hand.
"""

from datetime import date
from decimal import Decimal

import networkx as nx
import pytest

from production.contents.domain.tracing import Edge, first_cycle, reached, topological
from production.stock.domain.ledger import Entry, first_shortfall
from tests.production.contents.test_tracing import into, made_of

# What each batch used of which lot, in grams (bottles in pieces): two cooks,
# two dilutions (one of both pastes), two finishings, three fillings.
SEASON = {
    "paste-1": {"olive-1": 4000, "alkali-1": 850, "water-1": 6000},
    "paste-2": {"olive-1": 3500, "alkali-2": 760, "water-1": 5200},
    "diluted-1": {"paste-1": 6000, "water-2": 6000},
    "diluted-2": {"paste-1": 4000, "paste-2": 3000, "water-2": 6500},
    "rose": {"diluted-1": 11000, "salt": 150, "rose-scent": 60},
    "mint": {"diluted-2": 13000, "salt": 180, "mint-scent": 70},
    "rose-large": {"rose": 9600, "large-bottle": 40},
    "rose-small": {"rose": 1500, "small-bottle": 12},
    "mint-large": {"mint": 12900, "large-bottle": 54},
}
EDGES = [
    Edge(source, target, Decimal(amount))
    for target, sources in SEASON.items()
    for source, amount in sources.items()
]
ROSE = {"rose", "rose-large", "rose-small"}
MINT = {"mint", "mint-large"}
ROSE_FROM = {
    "rose-scent", "diluted-1", "paste-1", "olive-1", "alkali-1", "salt", "water-1",
    "water-2",
}  # fmt: skip
MINT_FROM = {
    "mint-scent", "diluted-2", "paste-1", "paste-2", "olive-1", "alkali-1", "alkali-2",
    "salt", "water-1", "water-2",
}  # fmt: skip


def library(edges: list[Edge]) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_edges_from((edge.source, edge.target) for edge in edges)
    return graph


@pytest.mark.parametrize(
    ("lot", "targets"),
    [
        ("alkali-1", {"paste-1", "diluted-1", "diluted-2"} | ROSE | MINT),
        ("alkali-2", {"paste-2", "diluted-2"} | MINT),
        ("rose-scent", ROSE),
        ("paste-1", {"diluted-1", "diluted-2"} | ROSE | MINT),
        ("diluted-2", MINT),
    ],
)
def test_a_lot_is_followed_to_everything_it_went_into(lot, targets):
    found = reached(into(EDGES), lot)
    assert found == targets == nx.descendants(library(EDGES), lot)


@pytest.mark.parametrize(
    ("lot", "sources"),
    [
        ("rose-large", ROSE_FROM | {"rose", "large-bottle"}),
        ("rose-small", ROSE_FROM | {"rose", "small-bottle"}),
        ("mint-large", MINT_FROM | {"mint", "large-bottle"}),
        ("mint", MINT_FROM),
    ],
)
def test_a_lot_is_followed_back_to_everything_in_it(lot, sources):
    found = reached(made_of(EDGES), lot)
    assert found == sources == nx.ancestors(library(EDGES), lot)


@pytest.mark.parametrize(
    ("lot", "came", "left"),
    [
        ("olive-1", 10000, 2500),
        ("paste-1", 10000, 0),
        ("diluted-1", 11800, 800),
        ("rose", 11150, 50),
        ("large-bottle", 120, 26),
    ],
)
def test_what_came_less_what_was_used_is_left_to_the_milligram(lot, came, left):
    def entry(number: int, amount: Decimal) -> Entry:
        return Entry(number, date(2025, 1, 1), 0, lot, "store", amount, "")

    used = [-edge.amount for edge in EDGES if edge.source == lot]
    book = [entry(n, amount) for n, amount in enumerate([Decimal(came), *used])]
    assert first_shortfall([*book, entry(9, Decimal(-left))]) is None
    over = first_shortfall([*book, entry(9, Decimal(-left) - Decimal("0.001"))])
    assert over.short == Decimal("0.001")


def test_bottles_poured_back_into_the_paste_they_came_from_are_a_cycle():
    assert first_cycle(EDGES) is None
    back = [*EDGES, Edge("rose-large", "paste-1", Decimal(500))]
    assert sorted(first_cycle(back)) == ["diluted-1", "paste-1", "rose", "rose-large"]


@pytest.mark.parametrize("seed", range(60))
def test_random_graphs_have_the_closures_and_cycles_of_the_library(seed):
    density = (seed % 6 + 1) / 40
    graph = nx.gnp_random_graph(24, density, seed=seed, directed=True)
    graph = nx.relabel_nodes(graph, str)
    edges = [Edge(source, target, Decimal(1)) for source, target in graph.edges]
    for lot in graph:
        assert reached(made_of(edges), lot) == nx.ancestors(graph, lot)
        assert reached(into(edges), lot) == nx.descendants(graph, lot)
    cycle = first_cycle(edges)
    assert (cycle is None) == nx.is_directed_acyclic_graph(graph)
    if cycle:
        assert nx.is_simple_path(graph, cycle)
        assert graph.has_edge(cycle[-1], cycle[0])
    else:
        order = topological(edges)
        assert all(order.index(one) < order.index(two) for one, two in graph.edges)


def test_the_random_graphs_are_of_both_kinds():
    kinds = {
        nx.is_directed_acyclic_graph(
            nx.gnp_random_graph(24, (seed % 6 + 1) / 40, seed=seed, directed=True)
        )
        for seed in range(60)
    }
    assert kinds == {True, False}
