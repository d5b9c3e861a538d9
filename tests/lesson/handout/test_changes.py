"""What the fingers do in a change, told from the change itself and from shapes known by heart."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.lesson.handout.changes import finger_lines
from harmonykit.lesson.together.rescue import Hard, hard_changes

# Of one finger and of several.
VERBS = {
    "rolls": ("rolls", "roll"),
    "slides": ("slides", "slide"),
    "crosses": ("crosses", "cross"),
    "lands": ("lands", "land"),
}
Arranged = Callable[..., Arrangement]


def told(way: Arrangement) -> list[tuple[Hard, dict[str, str]]]:
    found = hard_changes(way, 240, count=50)
    return [(one, dict(finger_lines(one))) for one in found]


def test_c_to_g7_by_hand(arranged: Arranged) -> None:
    """From 0003 to 0212 the third finger stays on its string (common practice, no source)."""
    ((_, lines),) = told(arranged("C=0003 G7:2=0212 | C=0003 G7:2=0212"))
    assert lines == {
        "bars": "1 and 2",
        "stays": "the open g string",
        "slides": "3 from fret 3 to 2",
        "land": "1 at fret 1, E string; 2 at fret 2, C string",
    }


@pytest.mark.parametrize(
    "bars",
    [
        "C=0003 G7:2=0212 | F=2010 Bb7:2=1211",
        "Dm=2210 G7:2=0212 | Em7=0202 A7:2=0100",
        "Bb=3211 Eb:2=0331 | D7=2223 Gm:2=0231",
    ],
)
def test_each_finger_is_told_in_the_line_of_what_it_does(arranged: Arranged, bars: str) -> None:
    found = told(arranged(bars))
    assert found
    for hard, lines in found:
        assert all(lines.values())
        for what, verbs in VERBS.items():
            fingers = [str(move.finger) for move in hard.change.moves if move.what == what]
            said = [part for verb in verbs for part in lines.get(verb, "").split("; ") if part]
            assert [part.split()[0] for part in said] == fingers
            assert not fingers or verbs[len(fingers) > 1] in lines
