"""The network of a search as a graph of networkx, and its shortest paths as classes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import Any

import networkx as nx

from harmonykit.arrange.network import Layer, Network
from harmonykit.theory.leading.ways import FOREVER

START, GOAL = ("start", 0), ("goal", 0)


def graph_of(network: Network) -> nx.DiGraph:
    """Return the layered graph: a node a shape of a layer, edges that bear what they cost."""
    graph = nx.DiGraph()
    for layer in network.layers:
        for node in range(len(layer.own)):
            own = int(layer.own[node])
            if not layer.parents and own < FOREVER:
                graph.add_edge(START, (layer.index, node), weight=own)
        for parent in layer.parents:
            edges = network.edges(parent.shapes, layer.shapes)
            for before, node in product(*map(range, edges.shape)):
                price = int(edges[before, node]) + int(layer.own[node])
                if price < FOREVER and (not layer.chained or before == node):
                    graph.add_edge((parent.index, before), (layer.index, node), weight=price)
    for layer in (end.layer for end in network.ends if not end.needs_next):
        for node in range(len(layer.own)):
            if (layer.index, node) in graph:
                graph.add_edge((layer.index, node), GOAL, weight=0)
    return graph


def classes(network: Network, graph: nx.DiGraph) -> Iterator[int]:
    """Yield the cost of each class, the cheapest first; of one class the first path counts."""
    seen: set[Any] = set()
    layers: list[Layer] = network.layers
    for path in nx.shortest_simple_paths(graph, START, GOAL, weight="weight"):
        steps = [(layers[index], node) for index, node in path[1:-1]]
        key = tuple((la.part.onset, la.part.chord, la.sounds[node]) for la, node in steps)
        if key not in seen:
            seen.add(key)
            yield nx.path_weight(graph, path, "weight")
