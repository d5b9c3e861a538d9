"""The alternation theorem: every row of the eight-note tables, the hand proof, and other sets.

Tables computed by exhaustion apart from this code; Forte numbers after Forte 1973, App. 1.
"""

from __future__ import annotations

from collections import Counter
from itertools import combinations, product

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.alternation import (
    alternate,
    alternating,
    alternation_cube,
    gaps,
    prove_alternation,
    symmetrical_sets,
)
from harmonykit.theory.leading.voiceleading import distance
from harmonykit.theory.sets.operation import forms_within
from harmonykit.theory.sets.pcset import PcSet

DIM7 = PcSet.of(2, 5, 8, 11)
ALL_DIM7 = [DIM7.transpose(n) for n in range(3)]
sets = st.builds(PcSet, st.integers(1, 4095))


def residues(pcs: PcSet) -> str:
    return "".join(str(sum(note % 3 == r for note in pcs)) for r in range(3))


class TestTables:
    """Every row."""

    def test_types_of_four_notes(self) -> None:
        table = rows("eightnote_types")
        assert len(table) == 43
        for row in table:
            chord = PcSet.of(*numbers(row["normal_form"]))
            assert chord.tn_name == row["forte"]
            assert residues(chord) == row["residues_mod3"]
            apart = [dim7 for dim7 in ALL_DIM7 if not dim7 & chord]
            assert len(apart) == int(row["disjoint_dim7s"])
            assert sum(alternate(chord, dim7) for dim7 in ALL_DIM7) == (
                int(row["alternating_dim7s"])
            )
            unions = [chord | dim7 for dim7 in apart]
            for column, found in {
                "unions": [union.tn_name for union in unions],
                "union_icv": [",".join(map(str, union.interval_vector)) for union in unions],
                "union_complement": [union.complement.tn_name for union in unions],
                "dim7s_in_union": [str(len(forms_within(DIM7, union))) for union in unions],
            }.items():
                expected = [] if row[column] == "-" else row[column].split(";")
                assert sorted(found) == sorted(expected)

    def test_the_seventy_chords_beside_one_diminished_seventh(self) -> None:
        proof = prove_alternation(DIM7)
        table = rows("eightnote_70")
        assert proof.disjoint == len(table) == 70
        for row in table:
            chord = PcSet.of(*numbers(row["chord"]))
            assert not chord & DIM7
            assert chord.tn_name == row["forte"]
            assert (chord in proof.chords) == (row["alternates_with_2_5_8_11"] == "1")
            assert chord | DIM7 == PcSet.of(*numbers(row["union"]))
            assert (chord | DIM7).tn_name == row["union_forte"]
        spread = Counter(
            tuple(sorted(residues(PcSet.of(*numbers(row["chord"])))[:2], reverse=True))
            for row in table
        )
        assert spread == {("4", "0"): 2, ("3", "1"): 32, ("2", "2"): 36}

    def test_eight_note_sets(self) -> None:
        table = rows("eightnote_octachords")
        assert len(table) == 43
        for row in table:
            scale = PcSet.of(*numbers(row["normal_form"]))
            assert scale.tn_name == row["forte"]
            inside = forms_within(DIM7, scale)
            assert len(inside) == int(row["dim7s_contained"])
            rest = {scale - dim7: alternate(scale - dim7, dim7) for dim7 in inside}
            listed = [] if row["residual_chords"] == "-" else row["residual_chords"].split(";")
            names, kinds = row["residual_fortes"].split(";"), row["alternates"].split(";")
            assert set(rest) == {PcSet.of(*numbers(chord)) for chord in listed}
            for chord, name, does in zip(listed, names, kinds, strict=False):
                assert PcSet.of(*numbers(chord)).tn_name == name
                assert rest[PcSet.of(*numbers(chord))] == (does == "1")


class TestTheorem:
    """Sixteen chords, five kinds, so the four sixth-diminished scales and the octatonic are all."""

    @pytest.mark.parametrize("dim7", ALL_DIM7, ids=str)
    def test_for_each_diminished_seventh(self, dim7: PcSet) -> None:
        proof = prove_alternation(dim7)
        assert (proof.tried, proof.disjoint, len(proof.chords)) == (495, 70, 16)
        assert proof.holds
        # 7b5 2, m7 = 6 4, m7b5 = m6 4, dominant seventh 4, diminished seventh 2
        assert proof.kinds == (
            ("4-25", 2),
            ("4-26", 4),
            ("4-27A", 4),
            ("4-27B", 4),
            ("4-28", 2),
        )
        assert [scale for scale, _ in proof.scales] == ["8-25", "8-26", "8-27A", "8-27B", "8-28"]

    def test_the_hand_proof(self) -> None:
        """Binary necklaces of length four: 0000, 0001, 0011, 0101, 0111, 1111."""
        words = list(product((0, 1), repeat=4))
        by_hand = {min(word[i:] + word[:i] for i in range(4)) for word in words}
        assert len(by_hand) == 6
        necklaces = prove_alternation(DIM7).necklaces
        turns = [{word[i:] + word[:i] for i in range(4)} for word in sorted(by_hand)]
        assert sorted(map(len, necklaces)) == sorted(map(len, turns))
        for group in necklaces:
            assert len({chord.tn_name for chord in group}) == 1

    def test_nineteen_types_make_eight_notes(self) -> None:
        """Of the 43 kinds 19 miss a diminished seventh wholly; maj7 and others meet all three."""
        chords = [PcSet.of(*c) for c in combinations(range(12), 4)]
        fit = {c.tn_name for c in chords if any(not c & dim7 for dim7 in ALL_DIM7)}
        assert len(fit) == 19
        # maj7, mMaj7, 7#5, 7sus4, add9
        for notes in ("047E", "037E", "048T", "057T", "0247"):
            assert PcSet.parse(notes).tn_name not in fit

    def test_the_bebop_dominant_holds_no_diminished_seventh(self) -> None:
        scale = PcSet.of(0, 2, 4, 5, 7, 9, 10, 11)
        assert scale.forte_name == "8-23"
        assert forms_within(DIM7, scale) == ()


class TestCube:
    """The sixteen as a four-dimensional cube whose edges are single semitones."""

    def test_it_is_the_cube(self) -> None:
        cube = alternation_cube(DIM7)
        graph = nx.Graph([(one.pcs, other.pcs) for one, other in cube.edges])
        assert nx.is_isomorphic(graph, nx.hypercube_graph(4))
        assert set(graph) == {corner.pcs for corner in cube.corners}
        assert set(graph) == set(alternating(DIM7))

    def test_edges_are_all_the_single_semitones(self) -> None:
        cube = alternation_cube(DIM7)
        for one, other in combinations(cube.corners, 2):
            joined = (one, other) in cube.edges
            assert joined == (distance(one.pcs, other.pcs) == 1)
            steps = sum(abs(x - y) for x, y in zip(one.place, other.place, strict=True))
            assert joined == (steps == 1)

    def test_two_corners_are_diminished_sevenths_and_the_longest_way_joins_them(self) -> None:
        cube = alternation_cube(PcSet.of(1, 4, 7, 10))
        ends = [corner for corner in cube.corners if corner.pcs.forte_name == "4-28"]
        assert [end.place for end in ends] == [(0, 0, 0, 0), (1, 1, 1, 1)]
        assert ends[0].pcs.transpose(1) == ends[1].pcs

    def test_each_edge_goes_up(self) -> None:
        for given_set in symmetrical_sets():
            for low, high in alternation_cube(given_set).edges:
                (left,), (came,) = low.pcs - high.pcs, high.pcs - low.pcs
                assert (came - left) % 12 == 1

    def test_wider_gaps_make_grids(self) -> None:
        """An augmented triad has three gaps of three notes: a 3 x 3 x 3 grid of 54 edges."""
        cube = alternation_cube(PcSet.of(0, 4, 8))
        graph = nx.Graph([(one.place, other.place) for one, other in cube.edges])
        assert nx.is_isomorphic(graph, nx.grid_graph([3, 3, 3]))
        assert len(cube.edges) == 54


class TestOtherSets:
    """The same question, answered for any set."""

    # Necklaces of length n in k colours, by Burnside: 3 of 3 colours 11, 2 of 5 colours 15.
    @pytest.mark.parametrize(
        ("notes", "count", "necklaces"),
        [
            ("06", 25, 15),
            ("048", 27, 11),
            ("0268", 9, 6),
            ("0369", 16, 6),
            ("02468T", 1, 1),
            ("0167", 0, 0),
            ("014589", 0, 0),
        ],
    )
    def test_symmetrical_ones(self, notes: str, count: int, necklaces: int) -> None:
        proof = prove_alternation(PcSet.parse(notes))
        assert proof.holds
        assert len(proof.chords) == count
        assert len(proof.necklaces) == necklaces

    def test_the_augmented_triads_six_note_scales(self) -> None:
        """Among them the whole-tone scale (6-35) and the augmented or hexatonic one (6-20)."""
        scales = dict(prove_alternation(PcSet.of(0, 4, 8)).scales)
        assert {"6-35", "6-20"} <= set(scales)
        assert all(name.startswith("6-") for name in scales)
        assert sum(scales.values()) == 27

    def test_the_fourteen_symmetrical_classes(self) -> None:
        """Rahn 1980 and Straus 2016: the classes that some transposition leaves alone."""
        assert " ".join(each.forte_name for each in symmetrical_sets()) == (
            "2-6 3-12 4-9 4-25 4-28 6-7 6-20 6-30 6-35 8-9 8-25 8-28 9-12 10-6"
        )
        assert all(prove_alternation(each).holds for each in symmetrical_sets())

    @given(st.builds(PcSet, st.integers(1, 4095)))
    def test_one_note_from_each_gap_whatever_the_set(self, pcs: PcSet) -> None:
        assert prove_alternation(pcs).holds

    @given(sets, sets)
    def test_alternation_is_mutual(self, a: PcSet, b: PcSet) -> None:
        assert alternate(a, b) == alternate(b, a)
        assert alternate(a, b) == (b in set(alternating(a)))

    def test_round_the_circle_not_along_a_line(self) -> None:
        """0 2 4 6 8 come in turn, but after 8 the circle goes on to 0, of the same chord."""
        assert not alternate(PcSet.of(0, 4, 8), PcSet.of(2, 6))
        assert not alternate(PcSet.of(2, 6), PcSet.of(0, 4, 8))
        assert alternate(PcSet.of(0, 4, 8), PcSet.of(2, 6, 10))

    @given(sets)
    def test_gaps_hold_what_the_set_does_not(self, pcs: PcSet) -> None:
        between = [note for gap in gaps(pcs) for note in gap]
        assert sorted(between) == list(pcs.complement)
        assert len(gaps(pcs)) == len(pcs)

    def test_the_empty_set_has_no_gaps(self) -> None:
        for function in (gaps, alternating, prove_alternation, alternation_cube):
            with pytest.raises(HarmonyError, match="no gaps"):
                function(PcSet.of())
        assert not alternate(PcSet.of(), PcSet.of())
