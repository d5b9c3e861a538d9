"""Chords one semitone apart, as published graphs, and the nearest of many."""

from __future__ import annotations

import ast
import math
from collections import Counter
from itertools import combinations

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.theory.leading.neighbours import nearest, single_semitone_edges
from harmonykit.theory.leading.voiceleading import best_voice_leading, distance
from harmonykit.theory.sets.pcset import PcSet

sets = st.builds(PcSet, st.integers(1, 4095))
ROOTS = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
SHAPES = {"7": (0, 4, 7, 10), "m7b5": (0, 3, 6, 10), "m7": (0, 3, 7, 10), "dim7": (0, 3, 6, 9)}
DIM7 = PcSet.of(0, 3, 6, 9)


def spread(*notes: int) -> set[PcSet]:
    return {PcSet.of(*notes).transpose(n) for n in range(12)}


def named(name: str) -> PcSet:
    root = name[:2] if name[1] in "b#" else name[:1]
    return PcSet.of(*SHAPES[name.removeprefix(root)]).transpose(ROOTS.index(root))


OCTATOWERS = spread(*SHAPES["7"]) | spread(*SHAPES["m7b5"]) | spread(*SHAPES["m7"])
POWER_TOWERS = OCTATOWERS | spread(*SHAPES["dim7"])
WITH_FRENCH = POWER_TOWERS | spread(0, 4, 6, 10)
# Douthett & Steinbach, JMT 42/2 (1998), name the first two; counts are those of the table.
GRAPHS = {
    "dom7+m7b5+m7 (OctaTowers)": OCTATOWERS,
    "+ 3 dim7 (Power Towers)": POWER_TOWERS,
    "+ 6 French sixths": WITH_FRENCH,
    "+ 12 maj7": WITH_FRENCH | spread(0, 4, 7, 11),
    "all 495 four-note sets": {PcSet.of(*c) for c in combinations(range(12), 4)},
}


def graph_of(chords: set[PcSet]) -> nx.Graph:
    graph = nx.Graph()
    graph.add_nodes_from(sorted(chords, key=tuple))
    graph.add_edges_from(single_semitone_edges(sorted(chords, key=tuple)))
    return graph


@pytest.mark.parametrize("row", rows("parsimony_graph"), ids=lambda row: row["graph"])
def test_graphs_of_single_semitones(row: dict[str, str]) -> None:
    graph = graph_of(GRAPHS[row["graph"]])
    assert graph.number_of_nodes() == int(row["nodes"])
    assert graph.number_of_edges() == int(row["edges"])
    sizes = sorted((len(part) for part in nx.connected_components(graph)), reverse=True)
    assert len(sizes) == int(row["components"])
    assert sizes == ast.literal_eval(row["component_sizes"])
    degrees = sorted(Counter(degree for _, degree in graph.degree).items())
    assert degrees == ast.literal_eval(row["degree_histogram"])


def test_every_edge_of_the_power_towers() -> None:
    found = {frozenset(edge) for edge in single_semitone_edges(POWER_TOWERS)}
    listed = [frozenset((named(row["a"]), named(row["b"]))) for row in rows("parsimony_edges")]
    assert len(listed) == len(set(listed)) == 72
    assert found == set(listed)


def test_each_tower_stands_inside_one_octatonic_scale() -> None:
    """Douthett & Steinbach 1998: the three parts of OctaTowers."""
    octatonic = [PcSet.parse("0134679T").transpose(n) for n in range(3)]
    for part in nx.connected_components(graph_of(OCTATOWERS)):
        assert sum(all(chord <= scale for chord in part) for scale in octatonic) == 1


def test_each_diminished_seventh_has_eight_neighbours() -> None:
    """Cohn, Audacious Euphony, ch. 7: four dominant sevenths, four half-diminished."""
    graph = graph_of(GRAPHS["all 495 four-note sets"])
    for dim7 in spread(0, 3, 6, 9):
        kinds = Counter(chord.tn_name for chord in graph[dim7])
        assert kinds == {"4-27A": 4, "4-27B": 4}
        for chord in graph[dim7]:
            (move,) = best_voice_leading(dim7, chord).moving
            if move.displacement < 0:  # the lowered note is the root of the dominant
                assert chord == PcSet.of(*SHAPES["7"]).transpose(move.end)
            else:  # the raised note becomes the seventh, a minor third below itself as it was
                assert chord == PcSet.of(*SHAPES["m7b5"]).transpose(move.start + 3)


def test_neighbours_by_distance_row_by_row() -> None:
    for row in rows("dim7_neighbours"):
        chord = PcSet.of(*numbers(row["chord"]))
        assert chord.tn_name == row["forte"]
        assert distance(DIM7, chord) == int(row["L1_from_0_3_6_9"])
        edges = single_semitone_edges([DIM7, chord])
        assert bool(edges) == (row["L1_from_0_3_6_9"] == "1")


class TestEdges:
    """Two chords are joined where the least voice leading is one semitone."""

    @given(st.lists(sets, max_size=12))
    def test_edges_are_the_pairs_at_distance_one(self, chords: list[PcSet]) -> None:
        expected = [
            (a, b) for a, b in combinations(chords, 2) if len(a) == len(b) and distance(a, b) == 1
        ]
        assert list(single_semitone_edges(chords)) == expected

    def test_chords_are_handed_back_as_they_came(self) -> None:
        class Named:
            def __init__(self, name: str, *notes: int) -> None:
                self.name, self.pcs = name, PcSet.of(*notes)

        chords = [Named("Am7", 9, 0, 4, 7), Named("C6", 0, 4, 7, 9), Named("C7", 0, 4, 7, 10)]
        edges = single_semitone_edges(chords)
        assert [(a.name, b.name) for a, b in edges] == [("Am7", "C7"), ("C6", "C7")]


class TestNearest:
    """The nearest come first; those that tie for the last place all come."""

    @given(sets, st.lists(sets, min_size=1, max_size=12), st.integers(1, 14))
    def test_order_and_ties(self, chord: PcSet, candidates: list[PcSet], count: int) -> None:
        found = nearest(chord, candidates, count)
        ranked = sorted(distance(chord, each) for each in candidates)
        assert [near.distance for near in found] == [
            away for away in ranked if away <= ranked[min(count, len(ranked)) - 1]
        ]
        for near in found:
            assert near.distance == distance(chord, near.chord)

    def test_the_four_dominants_of_a_diminished_seventh(self) -> None:
        """Web, "Chord Transformations": B dim7 leads to
        B flat 7, D flat 7, E7 and G7."""
        dominants = {root: named(f"{root}7") for root in ROOTS}
        found = {near.chord for near in nearest(named("Bdim7"), dominants.values())}
        assert {root for root in ROOTS if dominants[root] in found} == {"Bb", "Db", "E", "G"}

    def test_norm_and_doubling_are_handed_on(self) -> None:
        triads = sorted(spread(0, 4, 7), key=tuple)
        (near, *_) = nearest(DIM7, triads, 1, math.inf)
        assert near.distance == distance(DIM7, near.chord, math.inf)
        (near, *_) = nearest(PcSet.of(0, 7, 11), [PcSet.of(6, 7, 11)], doubling=True)
        assert near.distance == 2

    def test_of_none_there_is_none(self) -> None:
        assert nearest(DIM7, []) == ()
        assert nearest(DIM7, [DIM7], 0) == ()
