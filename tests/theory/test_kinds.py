"""Distances between kinds of chord: every row of the table, and the laws."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.kinds import kind_distance, shape_distance
from harmonykit.theory.leading.voiceleading import distance
from harmonykit.theory.sets.pcset import PcSet

chords = st.lists(st.integers(0, 11), min_size=1, max_size=5)


def test_every_row_of_the_kinds_of_four_notes() -> None:
    """Computed by exhaustion over bijections and transpositions; Straus 2005."""
    for row in rows("vl_tn_tetrachords"):
        a, b = numbers(row["a"]), numbers(row["b"])
        assert PcSet.of(*a).tn_name == row["forte_a"]
        assert PcSet.of(*b).tn_name == row["forte_b"]
        one, two, largest = (kind_distance(a, b, norm) for norm in (1, 2, math.inf))
        assert one.distance == int(row["L1"])
        assert one.transpositions == numbers(row["L1_transpositions"])
        assert round(two.distance**2) == int(row["L2sq"])
        assert two.transpositions == numbers(row["L2sq_transpositions"])
        assert largest.distance == int(row["Linf"])
        real = 4 * shape_distance(a, b) ** 2
        assert real == pytest.approx(int(row["L2sq_real_transposition_times4"]))


class TestLaws:
    """Distances of kinds do not change when either chord is transposed."""

    @given(chords, chords, st.integers(0, 11), st.integers(0, 11), st.booleans())
    def test_transposition(
        self, a: list[int], b: list[int], n: int, m: int, doubling: bool
    ) -> None:
        here = kind_distance(a, b, 1, doubling)
        moved = kind_distance([x + n for x in a], [y + m for y in b], 1, doubling)
        assert moved.distance == here.distance
        assert set(moved.transpositions) == {(t + n - m) % 12 for t in here.transpositions}

    @given(chords, st.data(), st.integers(0, 11))
    def test_a_real_transposition_is_no_worse(
        self, a: list[int], data: st.DataObject, n: int
    ) -> None:
        b = data.draw(st.lists(st.integers(0, 11), min_size=len(a), max_size=len(a)))
        away = shape_distance(a, b)
        assert away <= kind_distance(a, b, 2).distance + 1e-9
        assert shape_distance([x + n for x in a], b) == pytest.approx(away, abs=1e-9)
        assert shape_distance(b, a) == pytest.approx(away, abs=1e-9)

    @given(chords, st.data())
    def test_a_fine_grid_of_transpositions_comes_near_it(
        self, a: list[int], data: st.DataObject
    ) -> None:
        """Brute force over all bijections of small chords and steps of a sixtieth semitone."""
        from itertools import permutations

        a = a[:3]
        b = data.draw(st.lists(st.integers(0, 11), min_size=len(a), max_size=len(a)))

        def away(x: float, y: float) -> float:
            return min((y - x) % 12, (x - y) % 12)

        grid = [step / 60 for step in range(720)]
        least = min(
            sum(away(x, y + t) ** 2 for x, y in zip(a, turned, strict=True))
            for turned in set(permutations(b))
            for t in grid
        )
        assert math.sqrt(least) == pytest.approx(shape_distance(a, b), abs=1e-9)


def test_all_transpositions_of_a_diminished_seventh_are_near() -> None:
    """It equals three others of its own transpositions, and its neighbours lie one away."""
    dim7 = PcSet.of(0, 3, 6, 9)
    assert kind_distance(dim7, dim7).transpositions == (0, 3, 6, 9)
    near = kind_distance(dim7, PcSet.of(0, 4, 7, 10))
    assert (near.distance, near.transpositions) == (1, (2, 5, 8, 11))
    assert distance(dim7, PcSet.of(0, 4, 7, 10).transpose(11)) == 1


def test_shapes_of_different_sizes_do_not_compare() -> None:
    with pytest.raises(HarmonyError, match="shapes of 3 and 4 notes"):
        shape_distance((0, 4, 7), (0, 4, 7, 10))
    assert kind_distance((0, 4, 7), (0, 4, 7, 10)).distance == 2
    assert shape_distance((), ()) == 0
