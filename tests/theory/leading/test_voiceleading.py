"""Voice leadings: published and worked examples, the laws that hold, and those that fail.

Tables were computed by exhaustion over all matchings, apart from this code (theory of the lemma
and its proof: ``harmonykit.theory.leading.voiceleading``); sources of worked examples stand in
their rows.
"""

from __future__ import annotations

import math
from itertools import combinations, permutations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.leading.voiceleading import (
    best_voice_leading,
    best_voice_leadings,
    displacement,
    distance,
    distance_matrix,
    notes,
)
from harmonykit.theory.sets.pcset import PcSet

NORMS = [1, 2, math.inf]
norms = st.sampled_from(NORMS)
sets = st.builds(PcSet, st.integers(1, 4095))
multisets = st.lists(st.integers(0, 11), min_size=1, max_size=7)
TRICHORDS = [PcSet.of(*c) for c in combinations(range(12), 3)]
TETRACHORDS = [PcSet.of(*c) for c in combinations(range(12), 4)]


def measures(a: tuple[int, ...], b: tuple[int, ...], doubling: bool) -> tuple[int, int, int]:
    """Return L1, the square of L2, and L-infinity."""
    one, two, largest = (distance(a, b, norm, doubling=doubling) for norm in NORMS)
    assert two**2 == pytest.approx(round(two**2))
    return int(one), round(two**2), int(largest)


def counted(a: tuple[int, ...], b: tuple[int, ...]) -> int:
    """Return how many of all bijections are best by L1, by trying each."""
    turned = np.array(list(permutations(b)))
    steps = np.abs(turned - np.array(a))
    totals = np.minimum(steps, 12 - steps).sum(axis=1)
    return int((totals == totals.min()).sum())


def pairs_of(leading: object) -> list[tuple[int, int]]:
    return sorted((move.start, move.end) for move in leading.moves)  # type: ignore[attr-defined]


class TestTables:
    """Every row of the tables."""

    def test_pairs(self) -> None:
        for row in rows("vl_pairs"):
            a, b = numbers(row["a"]), numbers(row["b"])
            expected = (int(row["L1"]), int(row["L2sq"]), int(row["Linf"]))
            assert measures(a, b, False) == expected
            ties = int(row["n_L1_optimal_bijections"])  # -1: too many to count for the table
            assert best_voice_leading(a, b).ties == (ties if ties > 0 else counted(a, b))
            words = [
                word.replace(">", ":").split(":")
                for word in row["one_L2_optimal_mapping(from>to:displacement)"].split()
            ]
            mapping = [(int(start), int(end), int(step)) for start, end, step in words]
            optimal = best_voice_leadings(a, b, 2)
            assert any([(s, e) for s, e, _ in mapping] == pairs_of(leading) for leading in optimal)
            for start, end, step in mapping:
                assert abs(displacement(start, end)) == abs(step)
                assert (start + step) % 12 == end

    def test_pairs_with_doubling(self) -> None:
        for row in rows("vl_pairs_nonbij"):
            a, b = numbers(row["a"]), numbers(row["b"])
            expected = (int(row["L1"]), int(row["L2sq"]), int(row["Linf_hausdorff"]))
            assert measures(a, b, True) == measures(b, a, True) == expected
            if len(a) != len(b):
                assert measures(a, b, False) == expected

    @pytest.mark.parametrize("row", rows("vl_worked30"), ids=lambda row: row["n"])
    def test_worked_by_hand(self, row: dict[str, str]) -> None:
        a, b = numbers(row["from_pcs"]), numbers(row["to_pcs"])
        doubling = row["kind"] == "N"
        assert measures(a, b, doubling) == (int(row["L1"]), int(row["L2sq"]), int(row["Linf"]))
        assert distance(a, b, 2, doubling=doubling) == pytest.approx(float(row["L2"]), abs=1e-6)
        for norm in NORMS:
            leading = best_voice_leading(a, b, norm, doubling=doubling)
            assert leading.total == distance(a, b, norm, doubling=doubling)
            assert {move.start for move in leading.moves} == set(a)
            assert {move.end for move in leading.moves} == set(b)


class TestWorkedExamples:
    """Single examples, each with its source."""

    def test_the_papers_own_notation_example(self) -> None:
        """(C, C, E, G) -> (B, D, F, G): Tymoczko, Science 313 (2006)."""
        leading = best_voice_leading(PcSet.of(0, 4, 7), PcSet.of(2, 5, 7, 11))
        assert pairs_of(leading) == [(0, 2), (0, 11), (4, 5), (7, 7)]
        assert leading.total == 4
        assert leading.common_tones == PcSet.of(7)
        assert [tuple(move) for move in leading.moving] == [(0, 2, 2), (0, 11, -1), (4, 5, 1)]

    def test_a_common_tone_may_need_a_crossing(self) -> None:
        """{0,1,6} -> {0,6,7} keeps two notes only where voices cross (by hand)."""
        smoothest, *others = best_voice_leadings((0, 1, 6), (0, 6, 7))
        assert len(smoothest.common_tones) < 2
        assert any(len(each.common_tones) == 2 for each in others)
        assert len({each.total for each in (smoothest, *others)}) == 1

    def test_no_one_matching_is_best_for_both_sums(self) -> None:
        """{0,1,3} -> {0,1,8}: 5 by 3>8; squares 21 by 0>8, 1>0, 3>1 (by hand)."""
        assert measures((0, 1, 3), (0, 1, 8), False)[:2] == (5, 21)
        assert pairs_of(best_voice_leading((0, 1, 3), (0, 1, 8))) == [(0, 0), (1, 1), (3, 8)]
        by_squares = best_voice_leading((0, 1, 3), (0, 1, 8), 2)
        assert pairs_of(by_squares) == [(0, 8), (1, 0), (3, 1)]
        assert not _common_optimum((0, 1, 3), (0, 1, 8))

    def test_doubling_can_beat_a_bijection(self) -> None:
        """{C, G, B} -> {F#, G, B}: 2 against 6 (by hand)."""
        assert distance((0, 7, 11), (6, 7, 11)) == 6
        assert distance((0, 7, 11), (6, 7, 11), doubling=True) == 2

    def test_the_triangle_fails_with_doubling(self) -> None:
        """Eiter & Mannila 1997: the minimum link measure is no metric."""
        by_way = distance((1,), (0,)) + distance((0,), (0, 7))
        assert by_way == 6
        assert distance((1,), (0, 7)) == 7


def _common_optimum(a: tuple[int, ...], b: tuple[int, ...]) -> bool:
    one = {tuple(pairs_of(each)) for each in best_voice_leadings(a, b, 1)}
    return bool(one & {tuple(pairs_of(each)) for each in best_voice_leadings(a, b, 2)})


class TestLaws:
    """Laws that hold: those of ``vl_laws.tsv`` with no failures, and their kin."""

    @given(multisets, multisets, norms, st.booleans())
    def test_symmetry(self, a: list[int], b: list[int], norm: float, doubling: bool) -> None:
        assert distance(a, b, norm, doubling=doubling) == distance(b, a, norm, doubling=doubling)

    @given(sets, sets, norms, st.booleans())
    def test_zero_means_equal(self, a: PcSet, b: PcSet, norm: float, doubling: bool) -> None:
        assert distance(a, a, norm, doubling=doubling) == 0
        assert (distance(a, b, norm, doubling=doubling) == 0) == (a == b)

    @given(multisets, multisets, norms, st.booleans(), st.integers(0, 11))
    def test_transposition_and_inversion(
        self, a: list[int], b: list[int], norm: float, doubling: bool, n: int
    ) -> None:
        here = distance(a, b, norm, doubling=doubling)
        assert distance([x + n for x in a], [y + n for y in b], norm, doubling=doubling) == here
        assert distance([n - x for x in a], [n - y for y in b], norm, doubling=doubling) == here

    @given(st.data(), multisets)
    def test_norms_in_order(self, data: st.DataObject, a: list[int]) -> None:
        """L-infinity <= L2 <= L1 <= sqrt(n) L2."""
        b = data.draw(st.lists(st.integers(0, 11), min_size=len(a), max_size=len(a)))
        one, two, largest = (distance(a, b, norm) for norm in NORMS)
        assert largest <= two + 1e-9
        assert two <= one + 1e-9
        assert one <= math.sqrt(len(a)) * two + 1e-9

    @given(st.data(), multisets)
    def test_sums(self, data: st.DataObject, a: list[int]) -> None:
        """L1 is at least the circular distance of the sums of the notes, and of like parity."""
        b = data.draw(st.lists(st.integers(0, 11), min_size=len(a), max_size=len(a)))
        assert (distance(a, b) - sum(b) + sum(a)) % 2 == 0
        assert distance(a, b) >= abs(displacement(sum(a) % 12, sum(b) % 12))

    @given(st.data(), sets)
    def test_keeping_common_tones_is_free(self, data: st.DataObject, a: PcSet) -> None:
        """L1(A, B) = L1(A minus B, B minus A)."""
        b = PcSet.of(*data.draw(st.permutations(range(12)))[: len(a)])
        assert distance(a, b) == distance(a - b, b - a)

    @given(st.data(), sets)
    def test_complements_are_as_far_apart(self, data: st.DataObject, a: PcSet) -> None:
        """L1(A, B) = L1 of the complements: scales can be compared by the notes they lack."""
        b = PcSet.of(*data.draw(st.permutations(range(12)))[: len(a)])
        assert distance(a, b) == distance(a.complement, b.complement)

    @given(sets, sets)
    def test_the_largest_move_with_doubling_is_hausdorffs(self, a: PcSet, b: PcSet) -> None:
        def one_way(these: PcSet, those: PcSet) -> int:
            return max(min(abs(displacement(x, y)) for y in those) for x in these)

        assert distance(a, b, math.inf, doubling=True) == max(one_way(a, b), one_way(b, a))

    @given(sets, sets, norms)
    def test_doubling_only_helps(self, a: PcSet, b: PcSet, norm: float) -> None:
        assert distance(a, b, norm, doubling=True) <= distance(a, b, norm)

    @given(multisets, multisets, norms, st.booleans())
    def test_the_voice_leading_is_one(
        self, a: list[int], b: list[int], norm: float, doubling: bool
    ) -> None:
        leading = best_voice_leading(a, b, norm, doubling=doubling)
        assert leading.total == distance(a, b, norm, doubling=doubling)
        assert {move.start for move in leading.moves} == set(a)
        assert {move.end for move in leading.moves} == set(b)
        for move in leading.moves:
            assert (move.start + move.displacement) % 12 == move.end
            assert -5 <= move.displacement <= 6
        if len(a) == len(b) and not doubling:
            assert sorted(move.start for move in leading.moves) == sorted(a)
            assert sorted(move.end for move in leading.moves) == sorted(b)

    def test_complements_exhaustively(self) -> None:
        """All pairs of four-note chords against their eight-note complements."""
        ours = distance_matrix(TETRACHORDS)
        assert (distance_matrix([each.complement for each in TETRACHORDS]) == ours).all()

    def test_the_table_lists_no_failure_of_these(self) -> None:
        hold = [row for row in rows("vl_laws") if "FAIL" not in row["law"]]
        assert len(hold) == 8
        assert all(row["failures"] == "0" for row in hold)


class TestLawsThatFail:
    """Laws that one might expect, each with the counter-example of ``vl_laws.tsv``."""

    def row(self, words: str) -> tuple[PcSet, PcSet]:
        (row,) = (row for row in rows("vl_laws") if words in row["law"] and "FAIL" in row["law"])
        assert int(row["failures"]) > 0
        one, other = row["first_counterexample"].strip("()").split(") (")
        return PcSet.of(*numbers(one)), PcSet.of(*numbers(other))

    def laws(self) -> list[str]:
        return [row["law"] for row in rows("vl_laws")]

    def test_common_tones_by_squares(self) -> None:
        place = next(i for i, law in enumerate(self.laws()) if "B minus A" in law)
        row = rows("vl_laws")[place + 1]
        assert row["law"].startswith("same with L2 squared")
        a, b = PcSet.of(0, 9, 10, 11), PcSet.of(5, 6, 8, 9)
        assert row["first_counterexample"] == f"{tuple(a)} {tuple(b)}"
        assert distance(a, b, 2) < distance(a - b, b - a, 2)

    def test_complements_by_squares(self) -> None:
        place = next(i for i, law in enumerate(self.laws()) if "complement" in law)
        row = rows("vl_laws")[place + 1]
        assert row["law"].startswith("same with L2 squared")
        a, b = PcSet.of(0, 9, 10, 11), PcSet.of(5, 6, 8, 9)
        assert row["first_counterexample"] == f"{tuple(a)} {tuple(b)}"
        assert distance(a, b, 2) != distance(a.complement, b.complement, 2)

    def test_multiplication(self) -> None:
        a, b = self.row("M5")
        assert distance(a, b) != distance(a.multiply(5), b.multiply(5))

    def test_one_optimum_for_both(self) -> None:
        a, b = self.row("one bijection")
        assert not _common_optimum(tuple(a), tuple(b))

    def test_how_often_there_is_none(self) -> None:
        """156 of the 12,100 pairs of three-note chords, the first with 0 as its lowest note."""
        assert _without_common_optimum(TRICHORDS) == (12_100, 156)

    @pytest.mark.long
    def test_how_often_there_is_none_for_four_notes(self) -> None:
        assert _without_common_optimum(TETRACHORDS) == (81_675, 1_552)

    def test_how_often_doubling_helps(self) -> None:
        """1,269 of the 12,100 pairs."""
        with_0 = [each for each in TRICHORDS if 0 in each]
        plain = distance_matrix(with_0, others=TRICHORDS)
        assert (distance_matrix(with_0, 1, doubling=True, others=TRICHORDS) < plain).sum() == 1_269


def _without_common_optimum(chords: list[PcSet]) -> tuple[int, int]:
    """Count the pairs, and those in which the smoothest of the L1 optima is no L2 optimum."""
    pairs = [(a, b) for a, b in product(chords, chords) if 0 in a]
    apart = 0
    for a, b in pairs:
        squares = sum(move.displacement**2 for move in best_voice_leading(a, b).moves)
        apart += squares > round(distance(a, b, 2) ** 2)
    return len(pairs), apart


UP_TO_THREE = [PcSet.of(*c) for size in (1, 2, 3) for c in combinations(range(12), size)]
MEASURES = {
    "L1 bijective": (1, False, 1),
    "L2 bijective (root)": (2, False, 1),
    "Linf bijective": (math.inf, False, 1),
    "L2 SQUARED bijective": (2, False, 2),
    "L1 non-bijective (edge cover)": (1, True, 1),
    "Linf non-bijective (Hausdorff)": (math.inf, True, 1),
}


@pytest.mark.parametrize("row", rows("vl_triangle"), ids=lambda row: row["measure"])
def test_the_triangle_inequality_over_all_triples(row: dict[str, str]) -> None:
    norm, doubling, power = MEASURES[row["measure"]]
    universe = UP_TO_THREE if doubling else TRICHORDS
    assert len(universe) == int(row["universe"])
    assert len(universe) ** 3 == int(row["triples_checked"])
    apart = distance_matrix(universe, norm, doubling=doubling).astype(float) ** power
    violations = sum(int((apart > leg[:, None] + leg[None, :] + 1e-9).sum()) for leg in apart.T)
    assert violations == int(row["violations"])
    if violations:
        a, b, c = (PcSet.of(*numbers(row[f"example_{letter}"])) for letter in "abc")
        legs = (
            distance(x, y, norm, doubling=doubling) ** power for x, y in ((a, b), (b, c), (a, c))
        )
        expected = (int(row["d_ab"]), int(row["d_bc"]), int(row["d_ac"]))
        assert tuple(round(leg) for leg in legs) == expected
        assert expected[0] + expected[1] < expected[2]


class TestMatrix:
    """The matrix holds the distances of the pairs."""

    @given(st.lists(sets, min_size=1, max_size=8), norms, st.booleans())
    def test_cells(self, chords: list[PcSet], norm: float, doubling: bool) -> None:
        matrix = distance_matrix(chords, norm, doubling=doubling)
        for (i, a), (j, b) in product(enumerate(chords), repeat=2):
            assert matrix[i, j] == pytest.approx(distance(a, b, norm, doubling=doubling))

    def test_from_a_diminished_seventh(self) -> None:
        """How many of the 495 lie how far from it, and which: ``dim7_neighbours.tsv``."""
        chords = [numbers(row["chord"]) for row in rows("dim7_neighbours")]
        found = distance_matrix([(0, 3, 6, 9)], others=chords)[0]
        assert found.tolist() == [int(row["L1_from_0_3_6_9"]) for row in rows("dim7_neighbours")]
        assert np.bincount(found).tolist() == [1, 8, 32, 72, 108, 120, 98, 40, 16]

    def test_whole_numbers_but_for_norm_two(self) -> None:
        assert distance_matrix(TRICHORDS[:3]).dtype.kind == "i"
        assert distance_matrix(TRICHORDS[:3], 2).dtype.kind == "f"
        assert isinstance(distance(TRICHORDS[0], TRICHORDS[1]), int)


class Sounding:
    """Something with pitch classes that is no set."""

    pcs = PcSet.of(0, 4, 7)


def test_what_is_a_chord() -> None:
    assert distance(Sounding(), [60, 64, 67]) == 0
    assert notes((7, 0, 0, 4)) == (0, 0, 4, 7)
    assert distance((0, 0, 4, 7), PcSet.of(2, 5, 7, 11)) == 4  # a doubled root: by hand
    assert distance([], PcSet.of()) == 0
    assert best_voice_leading([], []).moves == ()


@pytest.mark.parametrize("wrong", ["Hx", 5, None])
def test_what_is_no_chord_is_refused(wrong: object) -> None:
    with pytest.raises(HarmonyError, match="was given|not a chord symbol"):
        distance(wrong, (0, 4, 7))  # type: ignore[arg-type]


def test_wrong_requests_are_refused() -> None:
    for call in (distance, best_voice_leading, best_voice_leadings):
        with pytest.raises(HarmonyError, match="3 is not a known norm"):
            call((0,), (1,), 3)
        with pytest.raises(HarmonyError, match="a chord without notes"):
            call((0,), ())
    with pytest.raises(HarmonyError, match="0 is not a known norm"):
        distance_matrix([(0,)], 0)
    with pytest.raises(HarmonyError, match="a chord without notes"):
        distance_matrix([(0,), ()])
    with pytest.raises(HarmonyError, match="is not a pitch class"):
        distance((0, 4.5), (0, 4))  # type: ignore[arg-type]


def test_too_many_ties_are_counted_not_listed() -> None:
    everything, half = range(12), range(6)
    assert best_voice_leading(everything, half, math.inf).ties > 10_000
    with pytest.raises(HarmonyError, match="voice leadings are equally good"):
        best_voice_leadings(everything, half, math.inf)


def test_both_ways_to_the_tritone() -> None:
    """C major to F# major: up by 1, 2, 3 or down as much (by hand)."""
    found = best_voice_leadings((0, 4, 7), (1, 6, 10))
    steps = [[move.displacement for move in leading.moves] for leading in found]
    assert sorted(steps) == [[-2, -3, -1], [1, 2, 3]]
    assert all(leading.ties == 2 for leading in found)
    assert best_voice_leading((0, 4, 7), (1, 6, 10)) in found


@given(multisets, multisets, norms, st.booleans())
def test_all_best_are_listed_smoothest_first(
    a: list[int], b: list[int], norm: float, doubling: bool
) -> None:
    a, b = a[:4], b[:4]
    found = best_voice_leadings(a, b, norm, doubling=doubling)
    squares = [sum(move.displacement**2 for move in leading.moves) for leading in found]
    assert squares == sorted(squares)
    one = best_voice_leading(a, b, norm, doubling=doubling)
    assert one in found  # so no voice of it could be left out
    assert sum(move.displacement**2 for move in one.moves) == squares[0]
    assert len(found) == len(set(found)) == one.ties


def test_every_row_between_kinds_of_four_notes() -> None:
    """Computed by exhaustion over bijections and transpositions; Straus 2005."""
    for row in rows("vl_tn_tetrachords"):
        a, b = numbers(row["a"]), numbers(row["b"])
        moved = [[pc + n for pc in b] for n in range(12)]
        for norm, name in ((1, "L1"), (2, "L2sq"), (math.inf, "Linf")):
            found = (distance_matrix([a], norm, others=moved)[0] ** (2 if norm == 2 else 1)).round()
            assert found.min() == int(row[name])
            if norm != math.inf:
                nearest = tuple(np.flatnonzero(found == found.min()).tolist())
                assert nearest == numbers(row[f"{name}_transpositions"])
