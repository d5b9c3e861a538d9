"""Clock and neck as parts of a scene: places, edges and axes as geometry has them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.draw.tree import Outline, Path, Point
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.panels.scenes import (
    RADIUS_MM,
    SIDE_MM,
    Neck,
    clock_courses,
    clock_looks,
    clock_spots,
    place_of,
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


UKULELE = Instrument.named("ukulele")


def test_wires_stand_in_true_proportion() -> None:
    """The equal-tempered rule, as printed for a published scale; see tests/data/README.md."""
    table = [row for row in rows("fret_positions") if row["scale_mm"] == "330.2"]
    printed = {int(row["fret"]): float(row["nut_to_fret_mm"]) for row in table}
    neck = Neck(UKULELE)
    nut, last = neck.wire(0), neck.wire(12)
    for fret in range(1, 12):
        part = (neck.wire(fret) - nut) / (last - nut)
        assert part == pytest.approx(printed[fret] / printed[12], abs=0.002)


def test_the_last_string_is_on_top_and_open_notes_lie_beyond_the_nut() -> None:
    neck = Neck(UKULELE)
    assert neck.place(3, 1)[1] < neck.place(0, 1)[1]
    assert neck.place(0, 0)[0] < neck.wire(0) < neck.place(0, 1)[0] < neck.wire(1)


def test_a_shape_is_marked_its_notes_elsewhere_are_dots_and_what_was_is_a_ring() -> None:
    seventh, before = Chord.parse("D7"), Voicing.parse("2323", UKULELE)
    looks = Neck(UKULELE).looks(seventh.pcs, seventh, Voicing.parse("2223", UKULELE), before)
    roles = [looks[f"string-{s}-fret-{f}"].role for s, f in ((1, 2), (2, 2), (3, 2), (4, 3))]
    assert roles == ["fifth", "root", "third", "seventh"]
    assert looks["string-2-fret-3"].role == "was" and not looks["string-2-fret-3"].on
    assert looks["string-4-fret-0"].role == "passing"  # A, open
    assert looks["string-4-fret-1"].role == "none" and "off" in looks["string-4-fret-1"].name


def test_given_names_go_before_usual_ones() -> None:
    looks = Neck(UKULELE).looks(PcSet.of(8), spelled={8: Note.parse("G#")})
    assert looks["string-1-fret-1"].text == "G♯"
    assert place_of("string-4-fret-12") == (3, 12)
