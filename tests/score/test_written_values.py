"""Lengths as written values; by hand from elementary theory."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

from harmonykit.score.written import values_of


@pytest.mark.parametrize(
    ("beats", "expected"),
    [
        (Q(4), [("whole", 0, 1)]),
        (Q(3), [("half", 1, 1)]),
        (Q(5, 4), [("quarter", 0, 1), ("16th", 0, 1)]),
        (Q(7, 4), [("quarter", 2, 1)]),
        (Q(5), [("whole", 0, 1), ("quarter", 0, 1)]),
        (Q(1, 3), [("eighth", 0, 3)]),
        (Q(2, 3), [("quarter", 0, 3)]),
        (Q(4, 3), [("half", 0, 3)]),
        (Q(1, 6), [("16th", 0, 3)]),
        (Q(1, 5), [("16th", 0, 5)]),
        (Q(1, 7), [("16th", 0, 7)]),
    ],
)
def test_types_dots_and_tuplets(beats, expected):
    found = list(values_of(beats))
    assert [(v.type, v.dots, v.actual) for v in found] == expected
    assert sum(v.beats for v in found) == beats


@pytest.mark.parametrize("beats", [Q(n, 96) for n in range(1, 500, 7)])
def test_the_values_are_the_length(beats):
    assert sum(value.beats for value in values_of(beats)) == beats
