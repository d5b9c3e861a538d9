"""Where clock, staff and neck of the panel of one moved note stand, and how they look."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from harmonykit.draw.base.canvas import Canvas
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.scene import Look, Scene, Shown, Spot, background
from harmonykit.workbook.panels.clock_scene import (
    CLOCK_LINES,
    SIDE_MM,
    clock_courses,
    clock_looks,
    clock_spots,
    ring,
)
from harmonykit.workbook.panels.neck_scene import NECK_LINES, WIDE_MM, Neck
from harmonykit.workbook.panels.staff_scene import HIGH_MM, STAFF_LINES, Chordal, Staff, head_marks

_STAFF_AT = (94.0, 2.0)
_LIST_AT = (100.0, 4.0 + HIGH_MM + 4.0)
_ROW_MM, _MOST_ROWS = 5.5, 6
_GAP_MM = 4.0


@lru_cache(maxsize=8)
def scene_of(instrument: str) -> Scene:
    """Return the picture that is drawn once for an instrument."""
    neck, staff = _neck(instrument), _staff(instrument)
    canvas = Canvas(WIDE_MM, SIDE_MM + _GAP_MM + neck.high)
    ring(canvas)
    staff.draw(canvas)
    neck.draw(canvas)
    x, y = _LIST_AT
    rows = tuple(
        Spot(f"move-{n + 1}", x, y + n * _ROW_MM, press=False, anchor="start")
        for n in range(_MOST_ROWS)
    )
    return Scene(
        WIDE_MM,
        SIDE_MM + _GAP_MM + neck.high,
        background(canvas) + staff.clef(),
        (*clock_spots(), *neck.spots(), *staff.spots(), *rows),
        (*CLOCK_LINES, *NECK_LINES, *STAFF_LINES),
        head_marks(),
        "one note of a diminished seventh moved, on clock, staff and neck",
    )


def _neck(instrument: str) -> Neck:
    return Neck(Instrument.named(instrument), (0.0, SIDE_MM + _GAP_MM))


def _staff(instrument: str) -> Staff:
    return Staff.for_neck(Instrument.named(instrument), 3, _STAFF_AT)


def show_on(
    instrument: str,
    chords: Sequence[Chord],
    shapes: Sequence[Voicing],
    moves: Sequence[tuple[int, int]],
    said: Sequence[str],
    facts: str,
) -> Shown:
    """Return how the parts look once some chords were reached, the last of them seen."""
    neck, staff = _neck(instrument), _staff(instrument)
    chord, shape = chords[-1], shapes[-1]
    old, before = (chords[-2], shapes[-2]) if len(chords) > 1 else (None, None)
    was = old.pcs if old else PcSet(0)
    looks = clock_looks(chord.pcs, chord, was, old)
    looks |= neck.looks(chord.pcs, chord, shape, before)
    columns = [_column(shapes, chords, n) for n in range(len(chords))]
    looks |= staff.looks(columns, [each.unicode for each in chords])
    looks |= {f"move-{n + 1}": Look("plain", text) for n, text in enumerate(said[:_MOST_ROWS])}
    courses = clock_courses(chord.pcs, was, moves=moves) | neck.courses(shape, before)
    return Shown(looks, courses | {"ledgers": staff.ledgers(columns)}, facts)


def _column(shapes: Sequence[Voicing], chords: Sequence[Chord], place: int) -> Chordal:
    """Return a chord's notes as they are played, those ringed that have just moved."""
    now = shapes[place].midi
    before = shapes[place - 1].midi if place else now
    notes = zip(shapes[place].spelled(chords[place]), now, before, strict=True)
    return [
        (note, "head" if midi == old else "head-moved")
        for note, midi, old in notes
        if note is not None
    ]
