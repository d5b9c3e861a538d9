"""A treble staff as part of a scene: lines and clef once, and the notes of a row of chords.

Columns run from left to right, a chord each; ``note-2-1`` is the first voice of the second column.
An instrument that sounds low is written an octave higher, with an 8 under the clef.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from harmonykit.draw.base.canvas import NOTE_PT, Canvas
from harmonykit.draw.base.given import spoken
from harmonykit.draw.staves import engraved, engraving
from harmonykit.draw.tree import Outline, Part, Path, Point, polyline, ring
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.note import Note
from harmonykit.workbook.base.scene import Line, Look, Spot, joined

SPACE_MM, COLUMN_MM, FIRST_MM = 2.4, 16.0, 19.0
# Room for what lies above and below: three ledger lines and a name.
ABOVE_MM, BELOW_MM = 14.0, 12.0
HIGH_MM = ABOVE_MM + 4 * SPACE_MM + BELOW_MM
STAFF_LINES = (Line("ledgers", 0.3),)
_HEAD_MM, _SIGN_PT, _LEAN_DEGREES = 3.1, 13.0, -18.0
# Steps are counted from C0; the middle line of the treble staff is B4.
_MIDDLE = 4 * 7 + 6
_TREBLE_LOWEST = 55

Chordal = Sequence[tuple[Note, str]]


class Staff:
    """Where things stand on a staff.

    Parameters
    ----------
    columns : int
    voices : int
        The most notes of a column.
    low : bool
        Whether it is written an octave above what sounds.
    corner : (float, float)
        Its top left, in mm.
    """

    def __init__(
        self, columns: int, voices: int, *, low: bool = False, corner: Point = (0.0, 0.0)
    ) -> None:
        self.columns, self.voices, self.low, self.corner = columns, voices, low, corner
        self.wide = FIRST_MM + COLUMN_MM * columns
        self.middle = corner[1] + ABOVE_MM + 2 * SPACE_MM

    @classmethod
    def for_neck(cls, instrument: Instrument, columns: int, corner: Point = (0.0, 0.0)) -> Staff:
        """Return a staff for what an instrument plays."""
        low = min(instrument.midi) < _TREBLE_LOWEST - 5
        return cls(columns, len(instrument.strings), low=low, corner=corner)

    def x(self, column: int) -> float:
        """The middle of a column, counted from 0."""
        return self.corner[0] + FIRST_MM + COLUMN_MM * (column + 0.5) - 2.0

    def draw(self, canvas: Canvas) -> None:
        """Draw the five lines; the clef is an outline of its own."""
        rows = [self.middle + n * SPACE_MM for n in (-2, -1, 0, 1, 2)]
        left, right = self.corner[0], self.corner[0] + self.wide
        canvas.lines([[(left, y), (right, y)] for y in rows], 0.2)
        if self.low:
            canvas.letter(left + 4.2, self.middle + 4.1 * SPACE_MM, "8", NOTE_PT)

    def clef(self) -> Path:
        """Return the clef, on the line of G4."""
        # A font's em is four spaces.
        scale = 4 * SPACE_MM / engraved.GLYPH_EM
        x, y = self.corner[0] + 1.0, self.middle + SPACE_MM
        outline = tuple(
            (letter, tuple((x + right * scale, y + down * scale) for right, down in at))
            for letter, at in engraving.glyph_outline(engraving.TREBLE_CLEF)
        )
        return Path(outline, fill="ink", role="clef")

    def spots(self) -> tuple[Spot, ...]:
        """Return the places of the notes, and of a name above each column."""
        notes = tuple(
            Spot(f"note-{c + 1}-{v + 1}", self.x(c), self.middle, press=False, point=_SIGN_PT,
                 anchor="end", shift=-_HEAD_MM * 0.6)
            for c in range(self.columns)
            for v in range(self.voices)
        )  # fmt: skip
        top = self.corner[1] + 3.0
        names = tuple(
            Spot(f"column-{c + 1}", self.x(c), top, press=False, point=10.0)
            for c in range(self.columns)
        )
        return notes + names

    def looks(self, columns: Sequence[Chordal], names: Sequence[str] = ()) -> dict[str, Look]:
        """Return how the notes look: each a note with its octave and a mark."""
        seen = {}
        for c, chord in enumerate(columns):
            places = self._across(chord)
            signs = self._signs(chord, places)
            for v, (note, mark) in enumerate(chord):
                at = (self.x(c) + places[v], self.y(note))
                seen[f"note-{c + 1}-{v + 1}"] = Look(mark, signs[v], spoken(note), at=at)
        for c, name in enumerate(names):
            seen[f"column-{c + 1}"] = Look("none", name)
        return seen

    def y(self, note: Note) -> float:
        """The height of a note."""
        return self.middle - (self._step(note) - _MIDDLE) * SPACE_MM / 2

    def _step(self, note: Note) -> int:
        octave = (note.octave if note.octave is not None else 4) + self.low
        return 7 * octave + "CDEFGAB".index(note.letter)

    def _across(self, chord: Chordal) -> list[float]:
        """Set the upper of two neighbours, and the second of two alike, beside the other."""
        places = [0.0] * len(chord)
        order = sorted(range(len(chord)), key=lambda v: self._step(chord[v][0]))
        for low, high in pairwise(order):
            near = self._step(chord[high][0]) - self._step(chord[low][0]) < 2
            if near and not places[low]:
                places[high] = _HEAD_MM
        return places

    def _signs(self, chord: Chordal, places: Sequence[float]) -> list[str]:
        """Return the accidentals, those that stand over another farther from their notes."""
        signs, last, far = [note.at(None).unicode[1:] for note, _ in chord], -99, False
        for v in sorted(range(len(chord)), key=lambda v: self._step(chord[v][0])):
            if signs[v]:
                step = self._step(chord[v][0])
                far = step - last < 4 and not far
                signs[v] += ("\u2002" if far else "") + ("\u2003" if places[v] else "")
                last = step
        return signs

    def ledgers(self, columns: Sequence[Chordal]) -> Outline:
        """Return the course of the ledger lines."""
        parts: list[Outline] = []
        for c, chord in enumerate(columns):
            steps = [self._step(note) - _MIDDLE for note, _ in chord]
            above = range(6, max(steps, default=0) + 1, 2)
            below = range(-6, min(steps, default=0) - 1, -2)
            for step in (*above, *below):
                y, x = self.middle - step * SPACE_MM / 2, self.x(c)
                parts.append(polyline([(x - 2.8, y), (x + 2.8, y)]))
        return joined(parts)


def head_marks() -> dict[str, tuple[Part, ...]]:
    """Return the marks of this floor: a note that has moved, solid, and one that has not, open."""
    oval = _oval(_HEAD_MM / 2, SPACE_MM * 0.45)
    return {
        "head-moved": (Path(oval, fill="ink"),),
        "head": (Path(oval, fill="paper", stroke="ink", width=0.46),),
    }


def _oval(wide: float, high: float) -> Outline:
    """Return the outline of a note's head about the origin, leaning as in print."""
    cosine, sine = math.cos(math.radians(_LEAN_DEGREES)), math.sin(math.radians(_LEAN_DEGREES))
    return tuple(
        (
            letter,
            tuple((x * wide * cosine - y * high * sine, x * wide * sine + y * high * cosine)
                  for x, y in at),
        )
        for letter, at in ring(0.0, 0.0, 2.0)
    )  # fmt: skip
