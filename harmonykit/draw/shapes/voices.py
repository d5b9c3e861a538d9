"""What moves from shape to shape: height is pitch, a line is a string.

Conventions.  Columns are shapes in playing order.  A string that keeps its note is a thin line, one
that moves a thick arrow with the semitones that it goes, up positive.  Two notes at one height, or
nearly, stand side by side.  The mark of the second string in the first column has the id
``shape-1-string-2``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from harmonykit.draw.base import given, marks
from harmonykit.draw.base.canvas import HEAD_PT, HOLD_MM, JOIN_MM, LABEL_PT, NOTE_PT, Canvas
from harmonykit.draw.base.fonts import SEMIBOLD, WIDER, text_width
from harmonykit.draw.base.given import Shape, ShapeLike
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Point
from harmonykit.errors import HarmonyError
from harmonykit.theory.note import Note
from harmonykit.words.numbers import counted

_COLUMN_MM, _SEMITONE_MM, _MARK_MM = 44.1, 3.74, 6.2
# On a small screen the letters stand larger in the figure than its measures.
_ENLARGED = 1.15
_LEFT_MM, _RIGHT_MM, _LABEL_MM = 13.9, 12.0, 3.4
_HEAD_UP_MM, _FOOT_DOWN_MM = 6.8, 9.3
_CLEAR_MM, _APART_MM, _BESIDE_MM = 4.7, 7.2, 8.0
_LETTER_PT, _FOOT_PT = 9.0, 10.5
_TALLEST_MM, _LINE_MM = 80.0, 4.6


def draw_voices(
    shapes: Sequence[ShapeLike],
    *,
    names: Sequence[str] | None = None,
    palette: str = "colour",
) -> Drawing:
    """Draw how each string's note moves through a row of shapes.

    Parameters
    ----------
    shapes : sequence of (Voicing or str, Chord or str)
        At least two, on one instrument.  A chord gives name, roles and spelling.
    names : sequence of str, optional
        The name above each shape; the chord's printed symbol where not given.
    palette : str

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        For fewer than two shapes, shapes of several instruments, or names that do not match.

    Examples
    --------
    >>> ukulele = hk.Instrument.named("ukulele")
    >>> seven = (hk.Voicing.parse("2223", ukulele), hk.Chord.parse("D7"))
    >>> home = (hk.Voicing.parse("0232", ukulele), hk.Chord.parse("G"))
    >>> hk.draw.voices([seven, home]).alt.split("; ")[1]
    'C string stays on D'
    """
    shapes = given.as_shapes(shapes)
    if len(shapes) < 2 or len({voicing.instrument for voicing, _ in shapes}) > 1:
        raise HarmonyError(
            f"{len(shapes)} shapes to compare", rule="at least two, all on one instrument"
        )
    labels = [_name(shape) for shape in shapes] if names is None else list(names)
    if len(labels) != len(shapes):
        raise HarmonyError(f"{len(labels)} names for {len(shapes)} shapes")
    figure = _Voices(shapes, labels, palette)
    figure.lines()
    figure.columns()
    figure.frame()
    return figure.canvas.drawing("what moves", figure.describe())


def _name(shape: Shape) -> str:
    voicing, chord = shape
    return chord.unicode if chord else voicing.digits


class _Voices:
    def __init__(self, shapes: Sequence[Shape], labels: list[str], palette: str) -> None:
        self.shapes, self.labels = shapes, labels
        sounding = [pitch for voicing, _ in shapes for pitch in voicing.sounding]
        self.top_pitch = max(sounding)
        spread = max(self.top_pitch - min(sounding), 1)
        self.step = min(_SEMITONE_MM, _TALLEST_MM / spread)
        self.top = _HEAD_UP_MM + 5.2
        self.bottom = self.top + spread * self.step
        digits = max(text_width(voicing.digits, _FOOT_PT) for voicing, _ in shapes)
        wide = max(digits, *(text_width(label, HEAD_PT, SEMIBOLD) for label in labels))
        # Outer names and shapes reach past their marks: they are not cut, in a wider face either.
        self.left, right = (max(side, WIDER * wide / 2) for side in (_LEFT_MM, _RIGHT_MM))
        width = self.left + _COLUMN_MM * (len(shapes) - 1) + right
        total = max(text_width(self._total(i), NOTE_PT) for i in range(len(shapes) - 1))
        # Six strings up the neck take the room between: the totals go one line lower.
        self.total_down = 0.0 if _ENLARGED * (digits + total) + 2 < _COLUMN_MM else _LINE_MM
        height = self.bottom + _FOOT_DOWN_MM + self.total_down + 1.6
        self.canvas = Canvas(width, height, palette)
        self.places = [self._column(index) for index in range(len(shapes))]

    def x(self, column: int) -> float:
        """The middle of a column."""
        return self.left + _COLUMN_MM * column

    def _column(self, column: int) -> dict[int, Point]:
        """Return where each string's note stands; near neighbours stand side by side."""
        pitches = [(p, s) for s, p in enumerate(self.shapes[column][0].midi) if p is not None]
        pitches.sort(key=lambda item: (-item[0], item[1]))
        groups: list[list[tuple[int, int]]] = []
        for pitch, string in pitches:
            near = groups and (groups[-1][-1][0] - pitch) * self.step < _APART_MM
            if near:
                groups[-1].append((pitch, string))
            else:
                groups.append([(pitch, string)])
        places = {}
        for group in groups:
            for place, (pitch, string) in enumerate(group):
                x = self.x(column) + (place - (len(group) - 1) / 2) * _BESIDE_MM
                places[string] = (x, self.top + (self.top_pitch - pitch) * self.step)
        return places

    def moves(self, column: int) -> Iterator[tuple[int, int]]:
        """Yield each string that sounds in a column and the next, and its move in semitones."""
        now, after = self.shapes[column][0].midi, self.shapes[column + 1][0].midi
        for string, (start, end) in enumerate(zip(now, after, strict=True)):
            if start is not None and end is not None:
                yield string, end - start

    def lines(self) -> None:
        """A thin line for what stays, an arrow for what moves."""
        for column in range(len(self.shapes) - 1):
            for string, move in self.moves(column):
                self._line(column, string, move)

    def _line(self, column: int, string: int, move: int) -> None:
        x0, y0 = self.places[column][string]
        x1, y1 = self.places[column + 1][string]
        x0, x1 = self._edge(column, y0, 1), self._edge(column + 1, y1, -1)
        if move == 0:
            self.canvas.lines([[(x0, y0), (x1, y1)]], HOLD_MM)
            return
        said = f"{'+' if move > 0 else '−'}{abs(move)}"
        gap = (text_width(said, LABEL_PT, SEMIBOLD) + 2.4) / (x1 - x0) / 2

        def at(part: float) -> Point:
            return x0 + (x1 - x0) * part, y0 + (y1 - y0) * part

        self.canvas.lines([[at(0), at(0.5 - gap)]], JOIN_MM)
        self.canvas.arrow([at(0.5 + gap), at(1)], JOIN_MM)
        self.canvas.letter(*at(0.5), said, LABEL_PT, weight=SEMIBOLD)

    def _edge(self, column: int, y: float, side: int) -> float:
        """Where a line leaves or reaches a column: clear of all marks near its height."""
        near = [x for x, other in self.places[column].values() if abs(other - y) < _APART_MM]
        return (max(near) if side > 0 else min(near)) + side * _CLEAR_MM

    def columns(self) -> None:
        """The marks of each shape."""
        for column, (shape, places) in enumerate(zip(self.shapes, self.places, strict=True)):
            for string, note in enumerate(given.notes_of(*shape)):
                if note is None:
                    continue
                x, y = places[string]
                role = marks.role_of(shape[1], note.pitch_class)
                with self.canvas.group(f"shape-{column + 1}-string-{string + 1}"):
                    marks.draw_mark(self.canvas, x, y, role, _MARK_MM, note.unicode, _LETTER_PT)

    def frame(self) -> None:
        """Names above, strings at the left, shapes and totals below."""
        foot = self.bottom + _FOOT_DOWN_MM
        for column, ((voicing, _), label) in enumerate(zip(self.shapes, self.labels, strict=True)):
            head = self.top - _HEAD_UP_MM
            self.canvas.text(self.x(column), head, label, HEAD_PT, weight=SEMIBOLD)
            self.canvas.text(self.x(column), foot, voicing.digits, _FOOT_PT)
        for column in range(len(self.shapes) - 1):
            middle = (self.x(column) + self.x(column + 1)) / 2
            total = self._total(column)
            self.canvas.text(middle, foot + self.total_down, total, NOTE_PT, colour="soft")
        for y, names in self._string_labels().items():
            self.canvas.letter(_LABEL_MM, y, " ".join(names), LABEL_PT, colour="soft")

    def _string_labels(self) -> dict[float, list[str]]:
        labels = self.shapes[0][0].instrument.printed_labels
        rows: dict[float, list[str]] = {}
        for string, (_, y) in self.places[0].items():
            rows.setdefault(y, []).append(labels[string])
        return rows

    def _total(self, column: int) -> str:
        total = sum(abs(move) for _, move in self.moves(column))
        return f"{counted(total, 'half step', none='no')} in all"

    def describe(self) -> str:
        """The moves in words."""
        places = given.string_names(self.shapes[0][0].instrument)
        parts = []
        for column, (before, after) in enumerate(pairwise(self.shapes)):
            names = [given.spoken_name(label) for label in self.labels[column : column + 2]]
            old, new = given.notes_of(*before), given.notes_of(*after)
            said = [
                _said(places[string], old[string], new[string], move)
                for string, move in self.moves(column)
            ]
            head = f"From {names[0]} to {names[1]}"
            parts.append("; ".join([f"{head}: {said[0]}", *said[1:], self._total(column)]))
        return ". ".join(parts)


def _said(place: str, old: Note | None, new: Note | None, move: int) -> str:
    if old is None or new is None:
        return f"{place} is not played"
    if move == 0:
        return f"{place} stays on {given.spoken(new)}"
    verb = "rises" if move > 0 else "falls"
    steps = counted(abs(move), "half step")
    return f"{place} {verb} {steps} from {given.spoken(old)} to {given.spoken(new)}"
