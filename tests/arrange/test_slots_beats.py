"""Weights of beats: common practice, no source; stated metre by metre."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmonykit.arrange.slots import beat_weight

HALF = Fraction(1, 2)


@pytest.mark.parametrize(
    ("meter", "beat", "weights"),
    [
        ((4, 4), Fraction(1), (4, 1, 2, 1)),
        ((3, 4), Fraction(1), (3, 1, 1)),
        ((6, 8), Fraction(3, 2), (2, 1)),
        ((5, 4), Fraction(1), (4, 1, 1, 2, 1)),
        ((2, 4), Fraction(1), (2, 1)),
        ((2, 2), Fraction(2), (2, 1)),
        ((3, 8), HALF, (3, 1, 1)),
        ((12, 8), Fraction(3, 2), (4, 1, 2, 1)),
        ((9, 8), Fraction(3, 2), (3, 1, 1)),
    ],
)
def test_each_beat_has_its_weight(
    meter: tuple[int, int], beat: Fraction, weights: tuple[int, ...]
) -> None:
    assert tuple(beat_weight(meter, beat * n) for n in range(len(weights))) == weights


@pytest.mark.parametrize(
    ("meter", "at"),
    [((4, 4), HALF), ((6, 8), Fraction(1)), ((2, 2), Fraction(1)), ((4, 4), 7 * HALF)],
)
def test_off_the_beat_weighs_nothing(meter: tuple[int, int], at: Fraction) -> None:
    assert beat_weight(meter, at) == 0


def test_the_first_beat_is_the_heaviest_in_any_metre() -> None:
    for beats in range(2, 12):
        weights = [beat_weight((beats, 4), Fraction(n)) for n in range(beats)]
        assert weights[0] > max(weights[1:])
