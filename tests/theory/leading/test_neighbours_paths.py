"""Shortest ways through named chords, against networkx and published graphs."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import pytest

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.neighbours import shortest_paths, zone
from harmonykit.theory.leading.voiceleading import distance
from harmonykit.theory.naming import exact_names
from harmonykit.theory.sets.operation import subsets
from harmonykit.theory.sets.pcset import PcSet

ALL = PcSet.of(*range(12))


def named_graph(size: int) -> nx.Graph:
    sets = [pcs for pcs in subsets(ALL, size) if exact_names(pcs)]
    graph = nx.Graph()
    graph.add_nodes_from(sets)
    for at, a in enumerate(sets):
        for b in sets[at + 1 :]:
            left, new = tuple(a - b), tuple(b - a)
            if len(left) == 1 and (new[0] - left[0]) % 12 in (1, 11):
                graph.add_edge(a, b)
    return graph


@pytest.mark.parametrize("start", ["C", "C+", "Cm", "Csus4"])
def test_triads_against_networkx(start: str) -> None:
    graph, root = named_graph(3), Chord.parse(start)
    for end in sorted(graph.nodes, key=tuple)[::5]:
        wanted = {tuple(way) for way in nx.all_shortest_paths(graph, root.pcs, end)}
        found = shortest_paths(root, exact_names(end)[0], 999)
        assert {tuple(chord.pcs for chord in way) for way in found} == wanted


def test_cube_dance() -> None:
    """Douthett & Steinbach 1998: from C to E by way of C+ or of Em; the pole is three steps off."""
    ways = {tuple(str(chord) for chord in way) for way in shortest_paths("C", "E")}
    assert ways == {("C", "C+", "E"), ("C", "Em", "E")}
    assert len(shortest_paths("C", "Abm")[0]) == 4


def test_zones() -> None:
    """Cohn 2012, ch. 5: augmented triads stand in 0, 3, 6, 9; a step goes to the zone beside."""
    assert {zone(Chord.of(root, "+")) for root in ("C", "Db", "D", "Eb")} == {0, 3, 6, 9}
    assert (zone("C"), zone("Am"), zone("Cm"), zone("C C E G")) == (11, 1, 10, 11)
    for way in shortest_paths("C7", "F#7"):
        for one, two in pairwise(way):
            assert (zone(two) - zone(one)) % 12 in (1, 11)


@pytest.mark.parametrize(("a", "b"), [("C7", "F#7"), ("Cdim7", "Dbdim7"), ("C6", "B7")])
def test_a_way_is_never_shorter_than_the_voices_need(a: str, b: str) -> None:
    (way, *_) = shortest_paths(a, b)
    assert len(way) - 1 >= distance(a, b)
    assert way[0] == Chord.parse(a)
    assert way[-1] == Chord.parse(b)


def test_chords_of_unlike_size_are_refused_and_the_same_chord_is_no_way() -> None:
    with pytest.raises(HarmonyError, match="C has 3 notes, C7 has 4"):
        shortest_paths("C", "C7")
    assert shortest_paths("C6", "Am7") == ((Chord.parse("C6"),),)
