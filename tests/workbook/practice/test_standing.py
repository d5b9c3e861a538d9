"""Levels: three right in a row without a hint lead up, two wrong in a row lead down."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.workbook.practice.question import LEVELS
from harmonykit.workbook.practice.standing import Standing


def after(answers: str) -> int:
    """Return the level after a row: r right, w wrong, h right with a hint, n nearly."""
    standing = Standing()
    scores = {"r": (1.0, 0), "w": (0.0, 0), "h": (1.0, 1), "n": (0.5, 0)}
    for answer in answers:
        standing = standing.after(*scores[answer])
    return standing.level


@pytest.mark.parametrize(
    ("answers", "level"),
    [
        ("", 1), ("rr", 1), ("rrr", 2), ("rrrr", 2), ("rrrrrr", 3), ("rrrrrrrrr", 4),
        ("r" * 30, 4), ("rrwr", 1), ("rrwrrr", 2), ("rrhr", 2), ("hhh", 1), ("rrnr", 2),
        ("rrrww", 1), ("rrrwrw", 2), ("rrrwnw", 2), ("rrrwhw", 2), ("ww", 1), ("rrrrrrwwww", 1),
    ],
)  # fmt: skip
def test_rows(answers: str, level: int) -> None:
    assert after(answers) == level


@given(st.lists(st.tuples(st.sampled_from([0.0, 0.5, 1.0]), st.integers(0, 3))))
def test_levels_stay_within_bounds_move_by_one_and_are_written_and_read(
    answers: list[tuple[float, int]],
) -> None:
    standing = Standing()
    for answer in answers:
        before, standing = standing, standing.after(*answer)
        assert 1 <= standing.level <= LEVELS and abs(standing.level - before.level) <= 1
        assert Standing.parse(str(standing)) == standing


@pytest.mark.parametrize("text", ["", "1", "1.2", "a.b.c", "0.0.0", "9.0.0", "1.-1.0", "1.2.3.4"])
def test_what_is_no_standing(text: str) -> None:
    with pytest.raises(HarmonyError):
        Standing.parse(text)
