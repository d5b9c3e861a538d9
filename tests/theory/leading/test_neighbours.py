"""Chords one semitone apart, as published graphs, and the nearest of many."""

from __future__ import annotations

import ast
from collections import Counter
from itertools import combinations

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.neighbours import by_distance, neighbours
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


def neighbour_sets(notes: PcSet, moves: int = 1) -> tuple[PcSet, ...]:
    return tuple(pcs for _, pcs in by_distance(notes, moves))


def edges_of(chords: set[PcSet]) -> set[frozenset[PcSet]]:
    return {frozenset((a, b)) for a in chords for b in neighbour_sets(a) if b in chords}


def graph_of(chords: set[PcSet]) -> nx.Graph:
    graph = nx.Graph()
    graph.add_nodes_from(sorted(chords, key=tuple))
    graph.add_edges_from(edges_of(chords))
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
    found = edges_of(POWER_TOWERS)
    listed = [frozenset((named(row["a"]), named(row["b"]))) for row in rows("parsimony_edges")]
    assert len(listed) == len(set(listed)) == 72
    assert found == set(listed)


def test_each_tower_stands_inside_one_octatonic_scale() -> None:
    """Douthett & Steinbach 1998: the three parts of OctaTowers."""
    octatonic = [PcSet.parse("0134679T").transpose(n) for n in range(3)]
    for part in nx.connected_components(graph_of(OCTATOWERS)):
        assert sum(all(chord <= scale for chord in part) for scale in octatonic) == 1


def test_each_diminished_seventh_has_eight_neighbours() -> None:
    """Cohn 2012: four dominant sevenths, four half-diminished."""
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
    within = {moves: set(neighbour_sets(DIM7, moves)) for moves in range(1, 9)}
    for row in rows("dim7_neighbours"):
        chord = PcSet.of(*numbers(row["chord"]))
        assert chord.tn_name == row["forte"]
        apart = int(row["L1_from_0_3_6_9"])
        assert distance(DIM7, chord) == apart
        for moves, found in within.items():
            assert (chord in found) == (0 < apart <= moves)


@given(sets, st.integers(1, 6))
def test_they_are_the_sets_within_so_many_semitones(chord: PcSet, moves: int) -> None:
    """By brute force over every set of as many notes, each measured by itself."""
    same_size = (PcSet.of(*notes) for notes in combinations(range(12), len(chord)))
    expected = {other for other in same_size if 0 < distance(chord, other) <= moves}
    found = neighbour_sets(chord, moves)
    assert set(found) == expected
    assert len(found) == len(expected)
    told = [away for away, _ in by_distance(chord, moves)]
    assert told == [distance(chord, other) for other in found] == sorted(told)


@pytest.mark.parametrize(
    ("symbol", "kinds"),
    [
        # Cohn 2012, ch. 7; and his triads around the augmented triad.
        ("Bdim7", {"7": 4, "m6": 4}),
        ("C+", {"": 3, "m": 3}),
    ],
)
def test_named_neighbours(symbol: str, kinds: dict[str, int]) -> None:
    found = neighbours(symbol)
    assert Counter(str(near).removeprefix(near.root.name) for near in found) == kinds
    # Web, "Chord Transformations": B dim7 leads to B flat 7, D flat 7, E7 and G7.
    if symbol == "Bdim7":
        dominants = {near.root.name for near in found if near.is_dominant}
        assert dominants == {"Bb", "Db", "E", "G"}


@pytest.mark.parametrize("symbol", ["C", "Dm7", "G7/B", "C7b5"])
def test_each_shares_all_notes_but_one_with_the_chord(symbol: str) -> None:
    chord = Chord.parse(symbol)
    found = neighbours(chord)
    assert found
    for near in found:
        (out,), (into,) = chord.pcs - near.pcs, near.pcs - chord.pcs
        assert (into - out) % 12 in (1, 11)
    assert len({near.pcs for near in found}) == len(found)
    roots = [(near.root.pitch_class - chord.root.pitch_class) % 12 for near in found]
    assert roots == sorted(roots)


def test_farther_ones_come_after_the_near_ones() -> None:
    near, wide = neighbours("C"), neighbours("C", 2)
    assert wide[: len(near)] == near
    assert len(wide) > len(near)


@pytest.mark.parametrize("moves", [0, -1])
def test_no_moves_is_refused(moves: int) -> None:
    with pytest.raises(HarmonyError, match="moves"):
        neighbours("C", moves)
