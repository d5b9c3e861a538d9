"""How near set classes are, against published values, brute force and laws."""

from __future__ import annotations

import math
from itertools import permutations

import pytest

from harmonykit.theory.sets.operation import forms
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.sets.setclass import class_distance, embedded, icvsim, set_classes

TRICHORDS = [PcSet.of(*each.prime_form) for each in set_classes() if each.size == 3]


def by_hand(a: PcSet, b: PcSet) -> int:
    """Return the least sum of moves from a to any form of b, over all matchings."""
    return min(
        sum(min((x - y) % 12, (y - x) % 12) for x, y in zip(a, order, strict=True))
        for form in forms(b)
        for order in permutations(form)
    )


def test_trichords_by_brute_force() -> None:
    for a in TRICHORDS:
        for b in TRICHORDS:
            assert class_distance(a, b) == by_hand(a, b) == class_distance(b, a)


def test_neighbours_in_the_space_of_trichords() -> None:
    """Straus 2005: 012 is one semitone from 013 alone, 048 from 037 alone (from memory)."""
    near = {
        one.forte_name: {b.forte_name for b in TRICHORDS if class_distance(one, b) == 1}
        for one in TRICHORDS
    }
    assert near["3-1"] == {"3-2"}
    assert near["3-12"] == {"3-11"}


def test_distance_of_classes_obeys_the_triangle() -> None:
    far = {(a, b): class_distance(a, b) for a in TRICHORDS for b in TRICHORDS}
    for a in TRICHORDS:
        for b in TRICHORDS:
            assert all(far[a, b] <= far[a, c] + far[c, b] for c in TRICHORDS)
            assert (far[a, b] == 0) == (a == b)


def test_sizes_may_differ() -> None:
    assert class_distance([], "C") == 0
    assert class_distance("C", "C7") == 2  # by hand: B flat from a doubled C


def test_isaacson_is_a_standard_deviation() -> None:
    """Isaacson 1990: by its definition; 0 for Z partners; by hand for 3-11 and 3-12."""
    assert icvsim([0, 1, 4, 6], [0, 1, 3, 7]) == 0
    # 001110 and 000300: differences 0 0 -1 2 -1 0, mean 0, squares 6, so the root of 1.
    assert icvsim("C", "C+") == pytest.approx(1)
    # 012120 and 004002: differences 0 -1 2 -1 -2 2, mean 0, squares 14.
    assert icvsim("C6", "Cdim7") == pytest.approx(math.sqrt(14 / 6))


def test_embedding_numbers() -> None:
    """Lewin 1977: with pairs of notes the embedding numbers are the interval vector."""
    for each in set_classes():
        pairs = tuple(embedded([0, size], each.prime_form) for size in range(1, 7))
        assert pairs == each.interval_vector
    assert embedded("C7", [0, 1, 3, 4, 6, 7, 9, 10]) == 8  # four dominants, four half-diminished
