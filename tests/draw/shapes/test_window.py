"""Which part of the neck a box shows."""

from __future__ import annotations

import pytest

from harmonykit.fretboard.shapes.frettings import window


@pytest.mark.parametrize(
    ("frets", "first", "rows"),
    [
        ((0, 0, 0, 0), 1, 4),
        ((4, 4, 4, 4), 1, 4),
        ((5, 7, 5, 7), 5, 4),
        ((9, 9, 8, 10), 8, 4),
        ((0, 1, 0, 5), 1, 5),
        ((None, 2, 0, 8), 2, 7),
    ],
)
def test_the_window_holds_the_whole_shape(
    frets: tuple[int | None, ...], first: int, rows: int
) -> None:
    assert window(frets) == (first, rows)
