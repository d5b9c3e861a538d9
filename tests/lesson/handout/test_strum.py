"""The strum over a chart: a stroke where the groove has one, a count on every beat.

Counting is common practice, no source: half a beat is "&", its last third or quarter "a".
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from small_arrangements import played_plainly

from harmonykit.lesson.handout.strum import strum_of
from harmonykit.tune.tune import Tune

LEAD, COLUMN, MARGINS = 12.0, 40.5, (2.5, 2.4)


def strummed(strum: str, meter: str = "4/4", columns: int = 4) -> dict[str, Any]:
    tune = Tune.parse(
        f'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "{meter}"\n[[sections]]\nname = "A"\n'
        'changes = "| C | F | G7 | C |"\n'
    )
    way = played_plainly(tune)
    way = replace(way, groove=way.strum.strummed(strum))
    return strum_of(way, LEAD, COLUMN, columns, MARGINS)


def place(at: float, whole: float = 4, bar: int = 0) -> float:
    """Return where a place of a bar stands: the first beat after a margin, the end before one."""
    return LEAD + bar * COLUMN + 2.5 + at / whole * (COLUMN - 2.5 - 2.4)


def marks(stroke: dict[str, Any]) -> set[str]:
    return {name for name, value in stroke.items() if value is True}


# A strum, its metre, the quarters of its strokes with their marks, the counts, the beats that rest.
STRUMS: tuple[tuple[str, str, dict[float, set[str]], str, list[float]], ...] = (
    ("D - D -", "4/4", {0: {"down"}, 2: {"down"}}, "1 2 3 4", [1, 3]),
    ("D - D U - U D U", "4/4",
     {0: {"down"}, 1: {"down"}, 1.5: set(), 2.5: set(), 3: {"down"}, 3.5: set()},
     "1 2 & 3 & 4 &", [2]),
    ("D! (U) X R", "4/4",
     {0: {"down", "accent"}, 1: {"ghost"}, 2: {"down", "muted"}, 3: {"down", "rolled"}},
     "1 2 3 4", []),
    ("D . - .", "4/4", {0: {"down", "short"}}, "1 2 3 4", [1, 2, 3]),
    ("D - . D", "4/4", {0: {"down", "short"}, 3: {"down"}}, "1 2 3 4", [1, 2]),
    ("- D . D~", "4/4", {1: {"down", "short"}, 3: {"down", "push"}}, "1 2 3 4", [0, 2]),
    ("D D D", "3/4", {0: {"down"}, 1: {"down"}, 2: {"down"}}, "1 2 3", []),
    # Two dotted beats of three eighths.
    ("D - U D U -", "6/8", {0: {"down"}, 1: set(), 1.5: {"down"}, 2: set()}, "1 a 2 &", []),
)  # fmt: skip


@pytest.mark.parametrize(("strum", "meter", "strokes", "counts", "rests"), STRUMS)
def test_strokes_and_counts_stand_on_their_beats(
    strum: str, meter: str, strokes: dict[float, set[str]], counts: str, rests: list[float]
) -> None:
    drawn = strummed(strum, meter)
    upper, lower = map(int, meter.split("/"))
    whole = 4 * upper / lower
    assert [one["x"] for one in drawn["strokes"]] == pytest.approx(
        [place(at, whole) for at in strokes]
    )
    assert [marks(one) for one in drawn["strokes"]] == list(strokes.values())
    assert drawn["rests"] == pytest.approx([place(at, whole) for at in rests])
    assert " ".join(one["text"] for one in drawn["counts"]) == counts
    # A number is on a beat, a syllable between two.
    assert [one["text"].isdigit() for one in drawn["counts"]] == [
        one["beat"] for one in drawn["counts"]
    ]
    xs = [one["x"] for one in drawn["counts"]]
    assert xs == sorted(xs) and set(drawn["rests"]) <= set(xs)
    assert {one["x"] for one in drawn["strokes"]} <= set(xs)
    # All stands in its bar.
    assert LEAD < xs[0] and xs[-1] < LEAD + COLUMN - 2.4


def test_every_sign_is_told_behind_the_strokes_or_below_them() -> None:
    drawn = strummed("D! (U) X R")
    assert drawn["said"] == [
        "hollow: soft", "thick: louder", "cross: muted", "waves: string by string",
    ]  # fmt: skip
    # They begin where the second bar would have its first beat; below where there is no such bar.
    assert drawn["at"] == pytest.approx(place(0, bar=1)) and not drawn["below"]
    below = strummed("D! (U) X R", columns=1)
    assert below["at"] == pytest.approx(place(0)) and below["below"]
    assert below["said"] == drawn["said"] and strummed("D D D D")["said"] == []
    assert strummed("D . D~ -")["said"] == ["dot: cut short", "bow: the next chord, early"]
    assert len(strummed("D! (U) X R . D~ - -")["said"]) == 6


def test_bars_of_a_groove_stand_side_by_side() -> None:
    """A strum of two bars has its second bar in the second column, no more than there are."""
    tune = Tune.parse("| C | F | G7 | C |")
    way = played_plainly(tune)
    one, other = way.strum.strummed("D D D D"), way.strum.strummed("D - U -")
    both = replace(one, bars=(*one.bars, *other.bars))
    drawn = strum_of(replace(way, groove=both), LEAD, COLUMN, 4, MARGINS)
    assert [one["x"] for one in drawn["strokes"]] == pytest.approx(
        [*(place(n) for n in range(4)), place(0, bar=1), place(2, bar=1)]
    )
    assert drawn["rests"] == pytest.approx([place(1, bar=1), place(3, bar=1)])
    alone = strum_of(replace(way, groove=both), LEAD, COLUMN, 1, MARGINS)
    assert len(alone["strokes"]) == 4 and alone["below"]
