"""Guide tones and outer voices: by hand, and against loops over single shapes."""

from __future__ import annotations

from itertools import product

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.arrange.guides import led, same_way, third_below
from harmonykit.arrange.line_figures import line
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.theory.chord import Chord

shapes = st.tuples(*[st.integers(-1, 80)] * 4).filter(lambda row: max(row) > -1)
rows = st.lists(shapes, min_size=1, max_size=4)


def sounds(row: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(sorted(pitch for pitch in row if pitch >= 0))


def test_over_falling_fifths_the_seventh_goes_to_the_third() -> None:
    """By hand: F of G7 to E of C, C of Dm7 to B of G7; no third, no seventh, another root."""
    names = ["G7", "C6"], ["Dm7", "G9"], ["Cmaj7", "F"], ["G7sus4", "C"], ["G", "C"], ["G7", "Am"]
    found = [third_below(*map(Chord.parse, pair)) for pair in names]
    assert found == [(5, 4), (0, 11), (11, 9), None, None, None]


@given(before=rows, after=rows, goal=st.tuples(st.integers(0, 11), st.integers(0, 11)))
def test_a_voice_is_on_a_string_or_in_its_place_from_the_lowest(
    before: list[tuple[int, ...]], after: list[tuple[int, ...]], goal: tuple[int, int]
) -> None:
    sides = [(np.array(each), [sounds(row) for row in each]) for each in (before, after)]
    found = led(*sides, goal)
    alike = len({len(row) for side in sides for row in side[1]}) == 1
    for (m, low), (n, high) in product(enumerate(before), enumerate(after)):
        pairs = [(a, b) for a, b in zip(low, high, strict=True) if min(a, b) >= 0]
        pairs += [*zip(sounds(low), sounds(high), strict=True)] if alike else []
        wanted = any((a % 12, b % 12) == goal and abs(a - b) <= 2 for a, b in pairs)
        assert found[m, n] == wanted
        way = (sounds(high)[0] - sounds(low)[0]) * (sounds(high)[-1] - sounds(low)[-1])
        assert same_way(sides[0][1], sides[1][1])[m, n] == (way > 0)


def test_in_shells_the_seventh_falls_to_the_third_through_ii_v_i() -> None:
    """Common practice, no source: the two upper voices change places down the fifths."""
    changes = "| Dm7 | G7 | Cmaj7 | Cmaj7 | Cm7 | F7 | Bbmaj7 | Bbmaj7 |"
    (way,) = reharmonise(changes, "guitar", (), 1, wishes=Wishes(texture="shells"))
    found = line(way)
    assert found.falling_fifths == found.guide_tones == 4
