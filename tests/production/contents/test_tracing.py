"""Closures and cycles of the lot graph."""

from collections import defaultdict
from decimal import Decimal
from graphlib import CycleError
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.contents.domain.tracing import (
    Edge,
    first_cycle,
    net_edges,
    reached,
    topological,
)

ONE = Decimal(1)
LOTS = st.sampled_from("abcdefgh")
GRAPHS = st.lists(
    st.builds(Edge, LOTS, LOTS, st.integers(-3, 3).map(Decimal)), max_size=20
)


def into(edges: list[Edge]) -> dict[str, list[str]]:
    """What each lot went into."""
    found = defaultdict(list)
    for edge in edges:
        found[edge.source].append(edge.target)
    return found


def made_of(edges: list[Edge]) -> dict[str, list[str]]:
    """What went into each lot."""
    return into([Edge(edge.target, edge.source, edge.amount) for edge in edges])


def chain(*lots: str) -> list[Edge]:
    return [Edge(here, there, ONE) for here, there in pairwise(lots)]


SHARED = [*chain("oil", "paste", "rose soap", "bottle"), *chain("paste", "mint soap")]


def test_a_lot_comes_from_all_that_went_into_it():
    assert reached(made_of(SHARED), "bottle") == {"oil", "paste", "rose soap"}


def test_a_lot_reaches_all_that_it_went_into():
    assert reached(into(SHARED), "paste") == {"rose soap", "bottle", "mint soap"}


def test_an_unknown_lot_reaches_nothing():
    assert reached(made_of(SHARED), "salt") == set()
    assert reached(into(SHARED), "salt") == set()


@given(GRAPHS)
def test_backward_and_forward_trace_are_inverse(edges):
    for lot in "abcdefgh":
        assert reached(into(edges), lot) == {
            other for other in "abcdefgh" if lot in reached(made_of(edges), other)
        }


def test_a_cycle_is_named_in_the_order_of_use():
    loop = chain("oil", "paste", "soap", "bottle", "paste")
    assert first_cycle(loop) == ["paste", "soap", "bottle"]


def test_a_lot_that_went_into_itself_is_a_cycle():
    assert first_cycle(chain("paste", "paste")) == ["paste"]


def test_no_cycle_is_found_where_none_is():
    assert first_cycle(SHARED) is None
    assert first_cycle([]) is None


@given(GRAPHS)
def test_a_named_cycle_is_one_and_else_the_order_holds(edges):
    pairs = {(edge.source, edge.target) for edge in edges}
    cycle = first_cycle(edges)
    if cycle:
        assert set(zip(cycle, [*cycle[1:], cycle[0]], strict=True)) <= pairs
        with pytest.raises(CycleError):
            topological(edges)
    else:
        order = topological(edges)
        assert all(order.index(here) < order.index(there) for here, there in pairs)


def test_a_very_long_line_of_lots_is_walked_to_its_end():
    long = chain(*(str(step) for step in range(50_000)))
    assert len(reached(into(long), "0")) == 49_999
    assert len(reached(made_of(long), "49999")) == 49_999
    assert first_cycle(long) is None
    assert len(first_cycle([*long, Edge("49999", "0", ONE)])) == 50_000


def test_a_reversed_use_leaves_the_trace():
    used = [
        Edge("oil", "paste", Decimal("4000.5")),
        Edge("alkali", "paste", Decimal(850)),
        Edge("oil", "paste", Decimal("-4000.5")),
        Edge("alkali", "paste", Decimal(10)),
    ]
    assert net_edges(used) == [Edge("alkali", "paste", Decimal(860))]


@given(GRAPHS)
def test_netting_keeps_every_gram_and_names_a_pair_once(edges):
    net = net_edges(edges)
    assert sum(edge.amount for edge in net) == sum(edge.amount for edge in edges)
    assert len({(edge.source, edge.target) for edge in net}) == len(net)
    assert all(edge.amount for edge in net)
