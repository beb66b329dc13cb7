"""The columns of a drawn family against an independent graph library.

Source: networkx (nx.topological_generations, nx.dag_longest_path_length), on random
graphs without rings.
"""

import networkx as nx
import pytest

from production.tracing.domain.drawing import layout
from production.tracing.domain.family import Flow, Member, columns, places

SEEDS = range(40)


def grown(seed: int) -> nx.DiGraph:
    """A random graph whose edges all lead from a lower number to a higher."""
    graph = nx.gnp_random_graph(30, (seed % 5 + 1) / 40, seed=seed, directed=True)
    graph.remove_edges_from([(one, two) for one, two in graph.edges if one >= two])
    return nx.relabel_nodes(graph, str)


@pytest.mark.parametrize("seed", SEEDS)
def test_columns_are_the_generations_of_the_library(seed):
    graph = grown(seed)
    found = columns(graph.nodes, graph.edges)
    for number, generation in enumerate(nx.topological_generations(graph)):
        assert {key for key, at in found.items() if at == number} == set(generation)
    assert max(found.values()) == nx.dag_longest_path_length(graph)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_edge_of_the_library_goes_forward_in_the_picture(seed):
    graph = grown(seed)
    members = [Member(key, kind=str(len(key))) for key in graph]
    flows = [Flow(*edge) for edge in graph.edges]
    at = places(members, flows)
    assert all(at[one] < at[two] for one, two in graph.edges)
    assert max(at.values()) == nx.dag_longest_path_length(graph)
    assert {key for key in graph if at[key] == 0} == {
        key for key in graph if not nx.ancestors(graph, key)
    }
    boxes = {box.key: box for box in layout(members, flows).boxes}
    for one, two in graph.edges:
        assert boxes[one].x + boxes[one].width < boxes[two].x


def test_the_random_graphs_are_neither_empty_nor_flat():
    lengths = [nx.dag_longest_path_length(grown(seed)) for seed in SEEDS]
    assert min(lengths) >= 1
    assert max(lengths) >= 6
