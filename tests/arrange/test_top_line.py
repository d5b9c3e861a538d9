"""The top line by hand: on the ukulele the open strings are G4 C4 E4 A4, A4 the highest."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rows_of_shapes import row

from harmonykit.arrange.top_line import (
    CONTOURS,
    leaps,
    likeness,
    longest_run,
    phrase_lines,
    repeated_figures,
    stops_of,
    turns,
    walking,
)


def test_steps_with_one_shape_are_one_stop_over_the_bar_line_too():
    way = row("| C6 | Am7 |", "C6 0000 2", "G#dim7 1212 2", "C6 0000 2", "Am7 0000 2")
    # The last two are one shape, in bar 2; it lasts four quarters.
    found = stops_of(way)
    assert [(stop.onset, stop.beats, stop.bar) for stop in found] == [
        (0, 2, 0),
        (2, 2, 0),
        (4, 4, 1),
    ]
    assert all(stop.held for stop in found)


def test_in_three_four_a_shape_is_held_from_one_and_a_half_quarters():
    way = row("3/4 | C6 | Am7 |", "C6 0000 2", "G#dim7 1212 1", "Am7 0000 3")
    assert [stop.held for stop in stops_of(way)] == [True, False, True]


def test_phrases_say_where_the_line_goes():
    """A4 C5 E5 A4, all of whole bars: up, up, down; the highest is E5, once, not at the start."""
    way = row("| C6 | Am | C | C6 |", "C6 0000 4", "Am 2003 4", "C 5437 4", "C6 0000 4")
    (found,) = phrase_lines(way, stops_of(way))
    assert (found.turns, found.highest, found.times, found.opens_high) == (1, 76, 1, False)
    assert found.rests
    assert found.contour in CONTOURS


def test_a_phrase_rests_if_half_a_bar_is_held_or_silent():
    busy = "| C6 | Am7 | C6 | C6 |"
    first = ("C6 0000 4", "Am7 5433 4", "C6 0000 4")
    held = row(busy, *first, "C6 0003 2", "C6 0000 2")
    moving = row(busy, *first, "C6 0003 3", "C6 0000 1")
    silent = row(busy, *first, "C6 0003 1", "C6 - 3")
    assert [next(phrase_lines(w, stops_of(w))).rests for w in (held, moving, silent)] == [
        True,
        False,
        True,
    ]


@given(st.lists(st.integers(55, 80), max_size=30))
def test_turns_are_those_of_the_differences(line):
    """numpy: the sign of the differences that are not nothing changes so often."""
    steps = np.sign(np.diff(np.array(line, dtype=int)))
    steps = steps[steps != 0]
    assert turns(line) == int(np.count_nonzero(np.diff(steps)))


@pytest.mark.parametrize(
    ("tops", "expected"),
    [
        (["0000", "0007", "0005"], (1, 1)),  # a fifth up, a whole step back
        (["0000", "0007", "0009"], (1, 0)),  # goes on
        (["0000", "0007", "0003"], (1, 0)),  # back by more than a step
        (["0000", "0005", "0003"], (0, 0)),  # a fourth is not a leap
        (["0000", "0007"], (0, 0)),  # nothing follows
        (["0007", "0000", "0002"], (1, 1)),  # down, and a step up
    ],
)
def test_leaps_over_a_fourth_are_followed_by_a_step_back(tops, expected):
    changes = "| C6 " * len(tops) + "|"
    way = row(changes, *(f"C6 {digits} 4" for digits in tops))
    assert leaps(stops_of(way)) == expected


def test_nothing_leaps_across_a_silence():
    way = row("| C6 | C6 | C6 | C6 |", "C6 0000 4", "C6 - 4", "C6 0007 4", "C6 0005 4")
    assert leaps(stops_of(way)) == (0, 0)


def test_the_longest_run_counts_beats_without_a_held_shape():
    way = row("| C6 | C6 |", "C6 0000 1", "C6 0003 1", "C6 0005 1", "C6 0003 2", "C6 0000 3")
    stops = stops_of(way)
    assert longest_run(stops) == Fraction(3)
    assert walking(stops) == pytest.approx(100 * 3 / 8)


def test_a_two_bar_figure_comes_again():
    up = ("C6 0000 2", "C6 0003 2", "C6 0005 4")
    down = ("C6 0005 2", "C6 0003 2", "C6 0000 4")
    again = row("| C6 | C6 | C6 | C6 |", *up, *up)
    other = row("| C6 | C6 | C6 | C6 |", *up, *down)
    assert repeated_figures(again, stops_of(again)) == (2, 2)
    # The line begins the second figure where it ended the first: one shape, not struck again.
    assert repeated_figures(other, stops_of(other))[1] == 0


@given(st.lists(st.floats(0, 1), min_size=3, max_size=12, unique=True))
def test_likeness_is_the_correlation(places):
    """numpy's corrcoef with the contour itself, mirrored: 1 and -1."""
    places = sorted(places)
    heights = [60 + 10 * place for place in places]
    points = list(zip(places, heights, strict=True))
    if np.std(places) < 1e-6:
        return
    assert math.isclose(likeness(points, "rise"), np.corrcoef(places, heights)[0, 1], abs_tol=1e-6)
    assert math.isclose(likeness(points, "fall"), -likeness(points, "rise"), abs_tol=1e-6)
