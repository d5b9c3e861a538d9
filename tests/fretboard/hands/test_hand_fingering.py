"""Fingerings: where the hand lies, and how far fingers stand from a finger a fret."""

from __future__ import annotations

import pytest

from harmonykit.fretboard.hands.hand import Hold, awkwardness, position_of
from harmonykit.fretboard.shapes.frettings import Fretting


# Where the index stands (common practice, no source).
@pytest.mark.parametrize(
    ("frets", "position"),
    [((0, 0, 0, 0), 1), ((0, 0, 0, 3), 1), ((0, 2, 3, 2), 1), ((2, 3, 2, 3), 2), ((0, 4, 3, 2), 2)],
)
def test_open_shapes_lie_in_first_position(frets: Fretting, position: int) -> None:
    assert position_of(frets) == position


def test_a_finger_a_fret_is_least_awkward() -> None:
    holds = (Hold(5, 0, 0), Hold(6, 2, 2), Hold(7, 1, 1), Hold(8, 3, 3))
    assert awkwardness(holds, (1, 2, 3, 4), position=5) == 0
    assert awkwardness(holds[:3], (1, 2, 4), position=5) == 1


def test_a_flat_finger_is_more_awkward_the_wider_it_lies_up_to_four_strings() -> None:
    added = [awkwardness((Hold(1, 0, last),), (1,), position=1) for last in range(6)]
    assert added == [0, 2, 3, 4, 4, 4]
