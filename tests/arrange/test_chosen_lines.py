"""Chords as lines to type: read back they demand what an arrangement has."""

from __future__ import annotations

import pytest

from harmonykit.arrange import search
from harmonykit.arrange.chosen_lines import chosen_lines, read_chosen
from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.wishes import Wishes
from harmonykit.errors import HarmonyError
from harmonykit.tune.tune import Tune

FULL = Wishes(density="full")


# In three metres, with a pick-up, repeats and endings, and chords on a half beat.
@pytest.mark.parametrize(
    "text",
    [
        "Key: C\n| C6 | A7 | Dm7 | G7 |",
        "Key: C\n|: C6 A7 | Dm7 G7 :| C6 |",
        "Key: G\n3/4\n|: G6 | E7 | Am7 |1 D7 :|2 G6 |",
        "Key: D\n6/8\n| D6 | B7 | Em7 A7 | D6 |",
    ],
)
def test_what_is_chosen_is_found_again_line_by_line(text: str) -> None:
    tune = Tune.parse(text)
    (way,) = search.reharmonise(tune, "ukulele", USUAL, 1, wishes=FULL)
    lines = chosen_lines(way)
    assert way.added and lines
    wishes = Wishes(demands=read_chosen(lines, tune))
    (again,) = search.reharmonise(tune, "ukulele", USUAL, 1, wishes=wishes)
    assert [(s.chord, s.onset) for s in again.steps] == [(s.chord, s.onset) for s in way.steps]
    assert chosen_lines(again) == lines


def test_a_line_holds_each_time_unless_it_says_which() -> None:
    tune = Tune.parse("|: C6 | Dm7 :|")
    told = {
        line: [" ".join(map(str, (c for c, *_ in row))) for row in read_chosen([line], tune).wanted]
        for line in ("1@3 C#dim7", "1@3 time 2 C#dim7")
    }
    assert told["1@3 C#dim7"] == ["C6 C#dim7", "Dm7"] * 2
    assert told["1@3 time 2 C#dim7"] == ["C6", "Dm7", "C6 C#dim7", "Dm7"]


@pytest.mark.parametrize(
    "line", ["C#dim7", "9 C#dim7", "1@5 C#dim7", "1 time 3 C#dim7", "1@3 H#", "1@0 C6", "1@3"]
)
def test_a_line_that_cannot_be_is_refused(line: str) -> None:
    with pytest.raises(HarmonyError):
        read_chosen([line], Tune.parse("|: C6 | Dm7 :|"))
