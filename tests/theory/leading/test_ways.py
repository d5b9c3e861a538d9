"""Cheapest ways against trying all of them, and against networkx."""

from __future__ import annotations

from itertools import pairwise, product

import networkx as nx
import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.theory.leading.ways import FOREVER, Ways

NEVER = int(FOREVER)
prices = st.sampled_from([0, 1, 2, 3, 7, NEVER])


@st.composite
def rows(draw: st.DrawFn) -> tuple[list[list[int]], list[list[list[int]]]]:
    """Give what choices cost in a row of layers, and what the changes between them cost."""
    sizes = draw(st.lists(st.integers(1, 3), min_size=1, max_size=4))
    own = [draw(st.lists(prices, min_size=n, max_size=n)) for n in sizes]
    changes = [
        [draw(st.lists(prices, min_size=m, max_size=m)) for _ in range(n)]
        for n, m in pairwise(sizes)
    ]
    return own, changes


def solved(
    own: list[list[int]], changes: list[list[list[int]]], k: int, told: list[list[str]] | None
) -> list[tuple[int, list[int]]]:
    ways = Ways(k)
    for layer, costs in enumerate(own):
        before = [(layer - 1, np.array(changes[layer - 1]))] if layer else []
        assert ways.add(np.array(costs), before, told and told[layer]) == layer
    found = ways.best([len(own) - 1])
    assert all([layer for layer, _ in way] == list(range(len(own))) for _, way in found)
    return [(cost, [node for _, node in way]) for cost, way in found]


def tried(own: list[list[int]], changes: list[list[list[int]]]) -> list[tuple[int, list[int]]]:
    """Return all ways with what they cost, the cheapest first."""
    found = []
    for nodes in product(*(range(len(costs)) for costs in own)):
        spent = [costs[node] for costs, node in zip(own, nodes, strict=True)]
        spent += [table[a][b] for table, (a, b) in zip(changes, pairwise(nodes), strict=True)]
        if max(spent) < NEVER:
            found.append((sum(spent), list(nodes)))
    return sorted(found)


@given(rows(), st.integers(1, 6))
def test_the_k_best_of_all_ways(row: tuple[list[list[int]], list[list[list[int]]]], k: int) -> None:
    every = tried(*row)
    found = solved(*row, k, None)
    assert [cost for cost, _ in found] == [cost for cost, _ in every[:k]]
    assert all(way in every for way in found)


@given(rows(), st.integers(1, 4), st.data())
def test_of_each_class_the_cheapest(
    row: tuple[list[list[int]], list[list[list[int]]]], k: int, data: st.DataObject
) -> None:
    """Ways whose choices are told by the same words are one, whatever choices they are."""
    told = [[data.draw(st.sampled_from("ab")) for _ in costs] for costs in row[0]]
    least: dict[str, int] = {}
    for cost, way in tried(*row):
        word = "".join(words[node] for words, node in zip(told, way, strict=True))
        least[word] = min(cost, least.get(word, cost))
    found = solved(*row, k, told)
    assert [cost for cost, _ in found] == (
        sorted(least.values())[:k] if k > 1 else [cost for cost, _ in tried(*row)[:1]]
    )


@given(st.integers(2, 7), st.data())
def test_layers_with_several_before_them(count: int, data: st.DataObject) -> None:
    """One choice a layer, any earlier layers before it: the shortest path that networkx finds."""
    graph, ways = nx.DiGraph(), Ways()
    for layer in range(count):
        before = data.draw(st.sets(st.integers(0, layer - 1), max_size=3)) if layer else set()
        own = data.draw(st.integers(0, 9))
        edges = [(other, data.draw(st.integers(0, 9))) for other in sorted(before)]
        ways.add(np.array([own]), [(other, np.array([[cost]])) for other, cost in edges])
        for other, cost in edges or [("start", 0)]:
            graph.add_edge(other, layer, weight=cost + own)
    ((cost, way),) = ways.best([count - 1])
    assert cost == nx.shortest_path_length(graph, "start", count - 1, weight="weight")
    assert nx.path_weight(graph, ["start", *(layer for layer, _ in way)], "weight") == cost


def test_nothing_leads_to_what_is_never_chosen() -> None:
    assert solved([[0], [NEVER]], [[[0]]], 3, None) == []
    assert solved([[NEVER], [0]], [[[0]]], 1, None) == []
