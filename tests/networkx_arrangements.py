"""The network of a search as a graph of networkx, and its shortest paths as classes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import Any

import networkx as nx

from harmonykit.arrange.network import Layer, Network
from harmonykit.theory.leading.ways import FOREVER

START, GOAL = ("start", 0, True), ("goal", 0, True)


def graph_of(network: Network) -> nx.DiGraph:
    """Return the layered graph: a node a shape of a layer, edges that bear what they cost."""
    graph = nx.DiGraph()
    for layer in network.layers:
        dear = network.dear_at.get((layer.part.move, layer.part.onset), 0)
        for node, up in product(range(len(layer.own)), (True, False)):
            own = int(layer.own[node]) + dear
            if not layer.parents and own < FOREVER:
                graph.add_edge(START, (layer.index, node, up), weight=own)
        for parent in layer.parents:
            add_changes(graph, network, parent, layer)
    for layer in (end.layer for end in network.ends if not end.needs_next):
        for node, up in product(range(len(layer.own)), (True, False)):
            if (layer.index, node, up) in graph:
                graph.add_edge((layer.index, node, up), GOAL, weight=0)
    return graph


def add_changes(graph: nx.DiGraph, network: Network, parent: Layer, layer: Layer) -> None:
    edges = network.changed(parent, layer)
    dear = network.dear_at.get((layer.part.move, layer.part.onset), 0)
    for before, node in product(*map(range, edges.shape)):
        price = int(edges[before, node]) + int(layer.own[node]) + dear
        for up, after, more in lined(network, parent, layer, before, node):
            if price < FOREVER:
                start, end = (parent.index, before, up), (layer.index, node, after)
                graph.add_edge(start, end, weight=price + more)


def lined(
    network: Network, parent: Layer, layer: Layer, before: int, node: int
) -> Iterator[tuple[bool, bool, int]]:
    """Yield whether the highest pitch is expected to rise, before and after, and what it costs."""
    if parent.shapes is None or layer.shapes is None:
        yield from ((up, after, 0) for up in (True, False) for after in (True, False))
        return
    gap = max(layer.shapes.sounds[node]) - max(parent.shapes.sounds[before])
    leaps = abs(gap) > 5
    for up in (True, False):
        turns = gap != 0 and up != (gap > 0)
        price = network.weights.leap * leaps + network.weights.turn * turns
        yield up, up if gap == 0 else (gap > 0) != leaps, price


def classes(network: Network, graph: nx.DiGraph) -> Iterator[int]:
    """Yield the cost of each class, the cheapest first; of one class the first path counts."""
    seen: set[Any] = set()
    layers: list[Layer] = network.layers
    for path in nx.shortest_simple_paths(graph, START, GOAL, weight="weight"):
        steps = [(layers[index], node) for index, node, _ in path[1:-1]]
        key = tuple((la.part.onset, la.part.chord, la.sounds[node]) for la, node in steps)
        if key not in seen:
            seen.add(key)
            yield nx.path_weight(graph, path, "weight")
