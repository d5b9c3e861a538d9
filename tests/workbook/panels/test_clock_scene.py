"""The clock as part of a scene: places by angle, edges and axes as geometry has them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.draw.tree import Outline, Path, Point
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.panels.clock_scene import (
    RADIUS_MM,
    SIDE_MM,
    clock_courses,
    clock_looks,
    clock_spots,
)


def strokes(course: Outline) -> tuple[tuple[Point, ...], ...]:
    return Path(course).strokes()


SETS = st.integers(0, 4095).map(PcSet.from_mask)


@pytest.mark.parametrize("pc", range(12))
def test_pitch_class_n_stands_at_n_times_30_degrees(pc: int) -> None:
    spot = clock_spots()[pc]
    turn = math.radians(30 * pc)
    assert spot.x - SIDE_MM / 2 == pytest.approx(RADIUS_MM * math.sin(turn))
    assert SIDE_MM / 2 - spot.y == pytest.approx(RADIUS_MM * math.cos(turn))


@given(SETS)
def test_a_polygon_has_as_many_edges_as_notes(notes: PcSet) -> None:
    """But two notes have one edge between them, and one note or none has none."""
    edges = len(strokes(clock_courses(notes)["edges"]))
    assert edges == (len(notes) if len(notes) > 2 else max(0, len(notes) - 1))


@given(SETS)
def test_there_are_as_many_axes_as_mirrors(notes: PcSet) -> None:
    wanted = notes.symmetry[1] if notes else 0
    axes = strokes(clock_courses(notes, axes=True)["axes"])
    assert len(axes) == wanted
    for start, end in axes:
        # Each runs through the middle, and what it mirrors is the set again.
        assert start[0] + end[0] == pytest.approx(SIDE_MM)
        assert start[1] + end[1] == pytest.approx(SIDE_MM)
        turn = round(math.degrees(math.atan2(start[0] - SIDE_MM / 2, SIDE_MM / 2 - start[1])) / 15)
        assert {(turn - pc) % 12 for pc in notes} == set(notes)


@given(SETS, SETS)
def test_what_was_is_dashed_where_it_differs(notes: PcSet, was: PcSet) -> None:
    def lines(course: Outline) -> set[tuple[Point, ...]]:
        return set(strokes(course))

    courses = clock_courses(notes, was)
    assert not lines(courses["edges"]) & lines(courses["before"])
    assert lines(courses["before"]) <= lines(clock_courses(was)["edges"])


def test_a_semitone_runs_on_the_ring_and_a_longer_move_outside() -> None:
    def reach(course: Outline) -> float:
        return max(math.hypot(x - SIDE_MM / 2, y - SIDE_MM / 2) for x, y in strokes(course)[0])

    short, long = (clock_courses(PcSet(0), moves=[move])["moves"] for move in ((3, 2), (9, 7)))
    assert reach(short) == pytest.approx(RADIUS_MM, abs=0.1)
    assert reach(long) > RADIUS_MM + 4
    assert clock_courses(PcSet(0), moves=[(3, 3)])["moves"] == ()


def test_a_note_goes_by_the_chord_that_it_is_or_was_in() -> None:
    """D F A flat C flat becomes G B D F: C flat is now B, and A flat is what it was."""
    old, new = Chord.parse("Ddim7"), Chord.parse("G7")
    looks = clock_looks(new.pcs, new, old.pcs, old)
    assert [looks[f"pc-{pc}"].text for pc in (11, 8, 2, 5, 7)] == ["B", "A♭", "D", "F", "G"]
    assert [looks[f"pc-{pc}"].role for pc in (8, 1)] == ["was", "off"]
    # As it was: each note by its old name, and none was anywhere else.
    looks = clock_looks(old.pcs, old)
    assert [looks[f"pc-{pc}"].text for pc in (2, 5, 8, 11)] == ["D", "F", "A♭", "C♭"]
    assert "was" not in {look.role for look in looks.values()}
