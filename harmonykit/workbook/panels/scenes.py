"""Clock and neck as parts of a scene: where things stand, and what is seen of a set or a shape.

Pitch class n stands at n times 30 degrees, turning right, with the id ``pc-0`` to ``pc-11``.

The string drawn on top is the last of the instrument's order; the second string at the third fret
has the id ``string-2-fret-3``.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from harmonykit.about.names import note_of
from harmonykit.draw.base import fonts, marks
from harmonykit.draw.base.canvas import (
    JOIN_MM,
    LABEL_PT,
    NUT_MM,
    SMALL_PT,
    THIN_MM,
    Canvas,
    arc_points,
    on_clock,
)
from harmonykit.draw.base.given import spoken, string_names
from harmonykit.draw.sets.clock import mirror_axes
from harmonykit.draw.tree import Outline, Point, polyline
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.values import dataclass
from harmonykit.words.numbers import ordinal
from harmonykit.workbook.base.scene import Line, Look, Spot, joined

SIDE_MM, RADIUS_MM, CLOCK_MARK_MM = 81.0, 31.5, 6.6
_GAP_DEGREES, _AXIS_MM = 8.2, 25.0
_DASH_MM = (0.95, 0.75)

CLOCK_LINES = (
    Line("axes", 0.25, "soft", (2.4, 0.8, 0.4, 0.8)),
    Line("before", 0.33, "ink", _DASH_MM),
    Line("edges", 0.45),
    Line("moves", 0.65),
)


def ring(canvas: Canvas, corner: Point = (0.0, 0.0)) -> None:
    """Draw what never changes: the arcs between the letters."""
    for pc in range(12):
        start, end = 30 * pc + _GAP_DEGREES, 30 * pc + 30 - _GAP_DEGREES
        canvas.arc(_middle(corner), RADIUS_MM, start, end, 0.2, "hair")


def clock_spots(corner: Point = (0.0, 0.0), *, press: bool = True) -> tuple[Spot, ...]:
    """Return the twelve places."""
    places = (_place(pc, corner) for pc in range(12))
    return tuple(
        Spot(f"pc-{pc}", x, y, CLOCK_MARK_MM, press=press, across=11.0)
        for pc, (x, y) in enumerate(places)
    )


def clock_looks(
    notes: PcSet, chord: Chord | None = None, was: PcSet | None = None, old: Chord | None = None
) -> dict[str, Look]:
    """Return how the twelve places look: a mark with its letter, a letter, or a dashed ring."""
    before = was or PcSet(0)
    return {f"pc-{pc}": _look(pc, notes, chord, before, old) for pc in range(12)}


def _look(pc: int, notes: PcSet, chord: Chord | None, was: PcSet, old: Chord | None) -> Look:
    on = pc in notes
    note = note_of(pc, chord if on or pc not in was else old)
    role = marks.role_of(chord, pc) if on else "was" if pc in was else "off"
    said = "on" if on else "off, on before" if pc in was else "off"
    return Look(role, note.unicode, f"{spoken(note)}, {said}", on)


def clock_courses(
    notes: PcSet,
    was: PcSet | None = None,
    *,
    axes: bool = False,
    moves: Sequence[tuple[int, int]] = (),
    corner: Point = (0.0, 0.0),
) -> dict[str, Outline]:
    """Return the courses of the clock's lines."""
    now, before = _edges(notes), _edges(was or PcSet(0))
    middle = _middle(corner)
    mirrors = [
        [on_clock(middle, _AXIS_MM, 15 * n), on_clock(middle, _AXIS_MM, 15 * n + 180)]
        for n in (mirror_axes(notes) if axes and notes else ())
    ]
    return {
        "edges": _course(now, corner),
        "before": _course([edge for edge in before if edge not in now], corner),
        "axes": joined(polyline(axis) for axis in mirrors),
        "moves": joined(_arrow(start, end, corner) for start, end in moves),
    }


def _edges(notes: PcSet) -> list[tuple[int, int]]:
    pcs = list(notes)
    if len(pcs) < 2:
        return []
    pairs = zip(pcs, [*pcs[1:], pcs[0]], strict=True)
    return sorted({(min(a, b), max(a, b)) for a, b in pairs})


def _course(edges: Iterable[tuple[int, int]], corner: Point) -> Outline:
    return joined(polyline([_place(a, corner), _place(b, corner)]) for a, b in edges)


def _arrow(start: int, end: int, corner: Point) -> Outline:
    """A step of a semitone runs on the ring; a longer move runs outside it."""
    way = (end - start + 6) % 12 - 6
    if way == 0:
        return ()
    sign = 1 if way > 0 else -1
    radius, gap = (RADIUS_MM, _GAP_DEGREES) if abs(way) == 1 else (RADIUS_MM + 5.6, 1.5)
    last = 30 * (start + way) - sign * gap
    middle = _middle(corner)
    shaft = arc_points(middle, radius, 30 * start + sign * gap, last)
    turn = 210 / radius * sign
    barbs = [on_clock(middle, radius + side, last - turn * 0.5) for side in (1.1, -1.1)]
    return polyline(shaft) + polyline([barbs[0], shaft[-1], barbs[1]])


def _place(pc: int, corner: Point) -> Point:
    return on_clock(_middle(corner), RADIUS_MM, 30 * pc)


def _middle(corner: Point) -> Point:
    return corner[0] + SIDE_MM / 2, corner[1] + SIDE_MM / 2


FRETS, STRING_MM, MARK_MM, WIDE_MM = 12, 8.0, 5.0, 174.0
_LABEL_MM, _OPEN_MM, _NUT_AT_MM, _TOP_MM, _FOOT_MM = 2.9, 10.9, 16.0, 4.0, 7.0
_DOTTED = (5, 7, 10, 12)

NECK_LINES = (Line("shape-before", 0.3, "ink", (0.95, 0.75)), Line("shape", JOIN_MM))


@dataclass(frozen=True, slots=True)
class Spread:
    """How large a neck is drawn: mm from string to string, frets, size of marks, space above."""

    strings: float = STRING_MM
    frets: int = FRETS
    mark: float = MARK_MM
    top: float = _TOP_MM


USUAL = Spread()


class Neck:
    """Where things stand on a neck.

    Parameters
    ----------
    instrument : Instrument
    corner : (float, float)
        Its top left, in mm.
    wide : float
        In mm.
    spread : Spread
    """

    def __init__(
        self,
        instrument: Instrument,
        corner: Point = (0.0, 0.0),
        wide: float = WIDE_MM,
        spread: Spread = USUAL,
    ) -> None:
        self.instrument, self.corner, self.wide, self.spread = instrument, corner, wide, spread
        self.strings = len(instrument.strings)
        self._scale = (wide - _NUT_AT_MM - 2.0) / (1 - 2 ** (-spread.frets / 12))
        self._foot = _FOOT_MM + (spread.mark - MARK_MM) / 2
        self.high = spread.top + (self.strings - 1) * spread.strings + self._foot + 3.0

    def wire(self, fret: int) -> float:
        """The place of a fret's wire; the nut is wire 0."""
        return self.corner[0] + _NUT_AT_MM + self._scale * (1 - float(2 ** (-fret / 12)))

    def place(self, string: int, fret: int) -> Point:
        """Where a note is drawn: between two wires, or beyond the nut when open."""
        nut = self.wire(self.instrument.start(string))
        x = (self.wire(fret - 1) + self.wire(fret)) / 2 if fret else nut - _NUT_AT_MM + _OPEN_MM
        return x, self.corner[1] + self.spread.top + (
            self.strings - 1 - string
        ) * self.spread.strings

    def draw(self, canvas: Canvas) -> None:
        """Draw strings, wires, nut, names of strings and numbers of frets."""
        top, bottom = self.place(self.strings - 1, 0)[1], self.place(0, 0)[1]
        rows = [self.place(string, 0)[1] for string in range(self.strings)]
        end = self.corner[0] + self.wide - 0.4
        starts = map(self.wire, self.instrument.first_frets)
        strings = [[(start, y), (end, y)] for start, y in zip(starts, rows, strict=True)]
        wires = [
            [(self.wire(f), top), (self.wire(f), bottom)] for f in range(1, self.spread.frets + 1)
        ]
        canvas.lines(strings + wires, THIN_MM)
        canvas.rectangle(self.wire(0) - NUT_MM, top, NUT_MM, bottom - top, "ink")
        for label, y in zip(self.instrument.labels, rows, strict=True):
            canvas.letter(self.corner[0] + _LABEL_MM, y, label, LABEL_PT, weight=fonts.SEMIBOLD)
        for fret in range(1, self.spread.frets + 1):
            weight, colour = (fonts.SEMIBOLD, "ink") if fret in _DOTTED else (400, "soft")
            x, y = self.place(0, fret)[0], bottom + self._foot
            canvas.letter(x, y, str(fret), 9.0, weight=weight, colour=colour)

    def spots(self, *, press: bool = True) -> tuple[Spot, ...]:
        """Return the places, string by string."""
        mark = self.spread.mark
        point = SMALL_PT if mark == MARK_MM else LABEL_PT
        across = 7.0 if mark == MARK_MM else 11.8
        return tuple(
            Spot(part, *self.place(string, fret), mark, point, press, across)
            for part, string, fret in self._places()
        )

    def _places(self) -> Iterator[tuple[str, int, int]]:
        for string in range(self.strings):
            for fret in range(self.spread.frets + 1):
                if self.instrument.has_fret(string, fret):
                    yield f"string-{string + 1}-fret-{fret}", string, fret

    def looks(
        self,
        notes: PcSet,
        chord: Chord | None = None,
        shape: Voicing | None = None,
        was: Voicing | None = None,
        spelled: Mapping[int, Note] | None = None,
    ) -> dict[str, Look]:
        """Return how the places look: a shape's marks, dots for its notes elsewhere, rings."""
        names = string_names(self.instrument)
        seen = {}
        for part, string, fret in self._places():
            pc = self.instrument.pitch(string, fret) % 12
            held = shape is not None and shape.frets[string] == fret
            left = was is not None and was.frets[string] == fret and not held
            on, note = pc in notes, (spelled or {}).get(pc) or note_of(pc, chord)
            role = _role(chord, pc, on=on, marked=held or shape is None and on, left=left)
            letter = note.unicode if role not in ("none", "passing") else ""
            where = "open" if fret == 0 else f"{ordinal(fret)} fret"
            said = "in the shape" if held else "on" if on else "earlier note" if left else "off"
            seen[part] = Look(role, letter, f"{names[string]}, {where}, {spoken(note)}, {said}", on)
        return seen

    def courses(self, shape: Voicing | None, was: Voicing | None = None) -> dict[str, Outline]:
        """Return the courses of the lines that join shapes."""
        before = self._join(was) if was is not None and was != shape else ()
        return {"shape": self._join(shape), "shape-before": before}

    def _join(self, shape: Voicing | None) -> Outline:
        frets = () if shape is None else shape.frets
        return polyline([self.place(s, fret) for s, fret in enumerate(frets) if fret is not None])


def _role(chord: Chord | None, pc: int, *, on: bool, marked: bool, left: bool) -> str:
    if marked:
        return marks.role_of(chord, pc)
    if left:
        return "was"
    return "passing" if on else "none"


def place_of(part: str) -> tuple[int, int]:
    """Return string (from 0) and fret of a place's id.

    Examples
    --------
    >>> place_of("string-2-fret-3")
    (1, 3)
    """
    _, string, _, fret = part.split("-")
    return int(string) - 1, int(fret)
