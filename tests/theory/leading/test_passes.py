"""Passes through layers: against networkx and brute force, at once and at prices that change."""

from __future__ import annotations

import random
from itertools import pairwise, product

import networkx as nx
import numpy as np
import pytest

from harmonykit.theory.leading.laid import Laid
from harmonykit.theory.leading.passes import Passes
from harmonykit.theory.leading.remembered import Changes, Letters, Steps
from harmonykit.theory.leading.ways import FOREVER

NO = int(FOREVER)


def laid_at_random(draw: random.Random, times: int) -> Laid:
    """Return a piece of three stretches of layers that comes so many times, with two states.

    Each stretch has two layers side by side, and one that is reached through one of them; some
    changes and some choices are out of reach, as in a walk.
    """
    steps = Steps(np.array([[[0, NO], [NO, 0]], [[0, 7], [NO, 0]], [[NO, 3], [3, NO]]]))
    sizes = [draw.randint(1, 4) for _ in range(9)]
    known: dict[tuple[int, int], Changes] = {}

    def changes(one: int, two: int) -> Changes:
        if (one, two) not in known:
            shape = sizes[one], sizes[two]
            costs = [NO if draw.random() < 0.1 else draw.randint(0, 9) for _ in range(16)]
            letters = [draw.randrange(3) for _ in range(16)]
            count = shape[0] * shape[1]
            edges = np.array(costs[:count], dtype=np.int64).reshape(shape)
            known[one, two] = Changes(
                edges, Letters(np.array(letters[:count], dtype=np.intp).reshape(shape)), steps
            )
        return known[one, two]

    prices = [[draw.randint(0, 9) for _ in range(size)] for size in sizes]
    own, before, ends = [], list[list[tuple[int, Changes]]](), list[tuple[int, int]]()
    for _ in range(times):
        for stretch in range(3):
            at, kinds = len(own), [3 * stretch + n for n in range(3)]
            own += [np.array(prices[kind], dtype=np.int64) for kind in kinds]
            before += [[(end, changes(kind, one)) for end, kind in ends] for one in kinds[:2]]
            before.append([(at, changes(kinds[0], kinds[2]))])
            ends = [(at + 1, kinds[1]), (at + 2, kinds[2])]
    return Laid(own, before, [end for end, _ in ends], (0, 2), (0, 5))


def graph_of(laid: Laid, dear: list[int]) -> nx.DiGraph[object]:
    """Return the layers as a graph: a node for each choice with a state, costs on its edges."""
    graph: nx.DiGraph[object] = nx.DiGraph()
    graph.add_nodes_from(["begin", "end"])
    for layer, own in enumerate(laid.own):
        for node, state in product(range(len(own)), range(2)):
            here = int(own[node]) + dear[layer]
            if not laid.before[layer]:
                graph.add_edge("begin", (layer, node, state), weight=here + laid.starts[state])
            for parent, changes in laid.before[layer]:
                for other, was in product(range(len(laid.own[parent])), range(2)):
                    letter = changes.letters[other, node]
                    more = int(changes.steps.prices[letter, was, state])
                    more += int(changes.edges[other, node])
                    if more < NO:
                        place = parent, other, was
                        graph.add_edge(place, (layer, node, state), weight=more + here)
            if layer in laid.ends:
                graph.add_edge((layer, node, state), "end", weight=laid.stops[state])
    return graph


@pytest.mark.parametrize("seed", range(12))
def test_the_cheapest_way_is_networkx_s_at_prices_that_change(seed: int) -> None:
    """What was found at other prices, or for a twin, must not show in what is found."""
    draw = random.Random(seed)
    laid = laid_at_random(draw, 6)
    assert sum(twin >= 0 for twin in laid.twins) >= 3 * 3 * 4
    before: Passes | None = None
    dear = [0] * len(laid.own)
    for _ in range(5):
        before = Passes(laid, dear, before=before)
        graph = graph_of(laid, dear)
        found = before.best()
        if not nx.has_path(graph, "begin", "end"):
            assert found == []
            return
        cost, way = found[0]
        assert cost == nx.shortest_path_length(graph, "begin", "end", weight="weight")
        places = ["begin", *((layer, *divmod(place, 2)) for layer, place in way), "end"]
        assert cost == sum(graph.edges[pair]["weight"] for pair in pairwise(places))
        # Of equals the first: as where nothing was gone through before, and nothing has a twin.
        alone = Laid(laid.own, laid.before, laid.ends, laid.starts, laid.stops)
        alone.__dict__["twins"] = [-1] * len(dear)
        assert found == Passes(alone, dear).best()
        dear = [cost + 20 * (draw.random() < 0.08) for cost in dear]


@pytest.mark.parametrize("k", [2, 5, 9])
@pytest.mark.parametrize("seed", range(6))
def test_the_k_best_of_different_kinds_by_brute_force(seed: int, k: int) -> None:
    """Each place is of a kind of its own but for its state: all ways are counted through."""
    laid = laid_at_random(random.Random(seed), 1)
    graph = graph_of(laid, [0] * len(laid.own))
    least: dict[tuple[object, ...], int] = {}
    for path in nx.all_simple_paths(graph, "begin", "end"):
        cost = sum(graph.edges[pair]["weight"] for pair in pairwise(path))
        kind = tuple(place[:2] for place in path[1:-1])
        least[kind] = min(cost, least.get(kind, cost))
    found = Passes(laid, [0] * len(laid.own)).kinds(k, lambda layer, place: (layer, place // 2))
    assert [cost for cost, _ in found] == sorted(least.values())[:k]
    kinds = [tuple((layer, place // 2) for layer, place in way) for _, way in found]
    assert [least[kind] for kind in kinds] == [cost for cost, _ in found]


def test_every_layer_is_told_of_once() -> None:
    laid = laid_at_random(random.Random(1), 6)
    dear, told = [0] * len(laid.own), list[int]()
    known = Passes(laid, dear, lambda done, _: told.append(done))
    assert told == list(range(1, len(dear) + 1))
    for prices in (dear, [7, *dear[1:]]):
        told.clear()
        Passes(laid, prices, lambda done, _: told.append(done), known)
        assert told == list(range(1, len(dear) + 1))


def test_what_is_out_of_reach_at_a_price_comes_back() -> None:
    """Layers that may not be used at one price are found again where they may."""
    laid = laid_at_random(random.Random(3), 4)
    free, barred = [0] * len(laid.own), [NO if n % 9 == 5 else 0 for n in range(len(laid.own))]
    first = Passes(laid, free)
    second = Passes(laid, barred, before=first)
    assert all(layer % 9 != 5 for _, way in second.best() for layer, _ in way)
    assert second.best() == Passes(laid, barred).best()
    assert Passes(laid, free, before=second).best() == first.best()
