"""The network of a search as a graph of networkx, and its shortest paths as classes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import Any

import networkx as nx

from harmonykit.arrange.network import Layer, Network
from harmonykit.theory.leading.ways import FOREVER

# What is remembered of the highest pitch: whether it is expected to rise (nothing yet: None), and
# whether it has turned in its phrase, which counts where a phrase that does not turn has a price.
State = tuple[bool | None, bool]
FREE: tuple[State, ...] = ((True, False), (False, False))
NEW: State = (None, False)
START, GOAL = ("start", 0, NEW), ("goal", 0, NEW)


def graph_of(network: Network) -> nx.DiGraph:
    """Return the layered graph: a node a shape of a layer, edges that bear what they cost."""
    graph = nx.DiGraph()
    straight = network.prices.weights.straight
    for layer in network.layers:
        dear = network.dear_at.get((layer.part.move, layer.part.onset), 0)
        for node, state in product(range(len(layer.own)), (NEW,) if straight else FREE):
            own = int(layer.own[node]) + dear
            if not layer.parents and own < FOREVER:
                graph.add_edge(START, (layer.index, node, state), weight=own)
        for parent in layer.parents:
            add_changes(graph, network, parent, layer)
    ends = {end.layer.index for end in network.ends if not end.needs_next}
    for place in [*graph]:
        if place[0] in ends:
            graph.add_edge(place, GOAL, weight=0 if place[2][1] else straight)
    return graph


def add_changes(graph: nx.DiGraph, network: Network, parent: Layer, layer: Layer) -> None:
    edges = network.changed(parent, layer)
    dear = network.dear_at.get((layer.part.move, layer.part.onset), 0)
    states: list[State] = [NEW, *product((True, False), (True, False))]
    for before, node in product(*map(range, edges.shape)):
        price = int(edges[before, node]) + int(layer.own[node]) + dear
        for state in states:
            start = (parent.index, before, state)
            if price < FOREVER and start in graph:
                for after, more in lined(network, (parent, before), (layer, node), state):
                    graph.add_edge(start, (layer.index, node, after), weight=price + more)


def lined(
    network: Network, before: tuple[Layer, int], after: tuple[Layer, int], state: State
) -> Iterator[tuple[State, int]]:
    """Yield what is remembered after a change, and what it costs."""
    weights, (up, turned) = network.prices.weights, state
    rests = [] if network.prices.setting is None else network.prices.setting.rests
    anew = weights.straight and any(b in rests for b in bars_between(before[0], after[0]))
    tops = [max(layer.sounds[node], default=None) for layer, node in (before, after)]
    if tops[0] is None or tops[1] is None:
        unturned = weights.straight if anew and not turned and up is not None else 0
        free = weights.straight and (anew or not turned)
        for way in (NEW,) if free else ((True, turned), (False, turned)):
            yield way, unturned
        return
    gap = tops[1] - tops[0]
    leaps = weights.leap * (abs(gap) > 5)
    if anew:
        yield NEW, leaps + (0 if turned else weights.straight)
        return
    turns = gap != 0 and up is not None and up != (gap > 0)
    goes = up if gap == 0 else (gap > 0) != (abs(gap) > 5)
    yield (goes, bool(weights.straight) and (turned or turns)), leaps + weights.turn * turns


def bars_between(before: Layer, after: Layer) -> range:
    """Return the bars from one layer's to the last before the other's."""
    return range(before.part.bar, after.part.bar)


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
