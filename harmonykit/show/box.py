"""One shape as a box: strings upright, the nut on top.

Conventions.  Strings stand in the instrument's order, the first at the left, or at the right for a
left-handed player.  The mark on the second string at the third fret has the id ``string-2-fret-3``
(strings counted from 1 in the instrument's order, an open string is fret 0); a muted string's
cross is ``string-2-muted``.  All boxes of one size and kind have their nuts at one height.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.voicing import Voicing
from harmonykit.show.canvas import Canvas, text_width
from harmonykit.show.marks import draw_mark
from harmonykit.show.roles import role_of
from harmonykit.show.style import (
    NOTE_PT,
    NUT_MM,
    POINTS_PER_MM,
    SEMIBOLD,
    SMALL_PT,
    THIN_MM,
    Drawing,
)
from harmonykit.show.window import window
from harmonykit.show.words import describe_shape
from harmonykit.theory.chord import Chord

Frets = tuple[int | None, ...]

_STRING_MM, _FRET_MM = 5.0, 5.6
_SIGN_MM, _SIGN_LINE_MM, _SIGN_UP_MM = 1.9, 0.35, 3.2
_SIDE_MM, _NUMBER_GAP_MM = 6.0, 2.9
_CAP_EM = 0.66


@dataclass(frozen=True, slots=True)
class BoxSize:
    """How large a box is: geometry and lines as multiples, type in points, mark ``d`` in mm."""

    scale: float
    line: float
    name_pt: float
    note_pt: float
    mark: float

    @property
    def name_up(self) -> float:
        """From the top fret line up to the name's baseline, in mm: clear of o and x."""
        return (_SIGN_UP_MM + _SIGN_MM / 2 + _SIGN_LINE_MM / 2) * self.scale + 1.6

    @property
    def notes_down(self) -> float:
        """From the lowest line down to the baseline of the notes' names, in mm."""
        gap = 2.1 + 2.5 * (max(self.scale, 1) - 1)
        return gap + _CAP_EM * self.note_pt / POINTS_PER_MM


BOX_SIZES = {
    "plain": BoxSize(1.0, 1.0, 13.0, NOTE_PT, 4.2),
    "chart": BoxSize(0.74, 1.0, 13.0, SMALL_PT, 3.2),
    "source": BoxSize(1.5, 1.2, 17.0, 10.0, 6.3),
    "large": BoxSize(2.0, 1.8, 26.0, 16.0, 8.4),
}
_MARKS = ("plain", "fingers", "roles")


def draw_box(
    voicing: Voicing,
    chord: Chord | None = None,
    *,
    name: str | None = None,
    marks: str = "plain",
    notes: bool = True,
    was: Voicing | Sequence[int | None] | None = None,
    left_handed: bool = False,
    size: str = "plain",
    blank: bool = False,
    palette: str = "colour",
) -> Drawing:
    """Draw a shape as a box.

    Parameters
    ----------
    voicing : Voicing
    chord : Chord, optional
        Gives names, roles and spelling; without it the notes take their plainest names.
    name : str, optional
        Printed above; the chord's printed symbol unless given. ``""`` leaves its place out too.
    marks : {"plain", "fingers", "roles"}
        What the marks say.  Among plain ones a string that moved shows its role.
    notes : bool
        Names of the notes below.
    was : Voicing or sequence of int or None, optional
        The frets before: a dotted ring stands where a finger was.
    left_handed : bool
    size : {"plain", "chart", "source", "large"}
        A chart's box is small, and has neither name nor notes unless a name is given.
    blank : bool
        Empty, with a line for the name: to fill in.
    palette : str

    Raises
    ------
    HarmonyError
        For an unknown size, kind of mark or palette, or frets before on other strings.

    Examples
    --------
    >>> from harmonykit.fretboard.instrument import Instrument
    >>> shape = Voicing.parse("2223", Instrument.named("ukulele"))
    >>> box = draw_box(shape, Chord.parse("D7"), marks="roles")
    >>> 'id="string-2-fret-2"' in box.svg, box.width_mm
    (True, 27.0)
    """
    _check("size of box", size, BOX_SIZES)
    _check("kind of mark", marks, _MARKS)
    if name is None:
        name = "" if chord is None or size == "chart" else chord.unicode
    before = None if was is None else tuple(was.frets if isinstance(was, Voicing) else was)
    if before is not None and len(before) != len(voicing.frets):
        raise HarmonyError(f"{len(before)} frets before, {len(voicing.frets)} now")
    look = _Look(name, marks, notes and size != "chart", before, left_handed, size, blank, palette)
    return _draw(voicing, chord, look)


@dataclass(frozen=True, slots=True)
class _Look:
    name: str
    marks: str
    notes: bool
    was: Frets | None
    left_handed: bool
    size: str
    blank: bool
    palette: str


def _check(what: str, value: str, known: Sequence[str] | dict[str, BoxSize]) -> None:
    if value not in known:
        raise HarmonyError(f"{value!r} is no {what}", mend=", ".join(map(repr, known)))


@lru_cache(maxsize=1024)
def _draw(voicing: Voicing, chord: Chord | None, look: _Look) -> Drawing:
    box = _Box(voicing, chord, look)
    box.grid()
    box.head()
    if not look.blank:
        box.rings()
        box.marks()
    if look.notes and not look.blank:
        box.notes()
    if look.blank:
        alt = f"an empty box of {box.count} strings, to fill in"
        return box.canvas.drawing("to fill in", alt, (box.left, box.top))
    alt = describe_shape(
        voicing,
        chord,
        name=look.name,
        was=look.was,
        fingers=look.marks == "fingers",
        left_handed=look.left_handed,
    )
    return box.canvas.drawing(look.name or voicing.digits, alt, (box.left, box.top))


class _Box:
    """A box on its canvas: where things stand, and the parts drawn one after the other."""

    def __init__(self, voicing: Voicing, chord: Chord | None, look: _Look) -> None:
        self.voicing, self.chord, self.look = voicing, chord, look
        self.size = BOX_SIZES[look.size]
        self.count = len(voicing.frets)
        shown = () if look.blank else (*voicing.frets, *(look.was or ()))
        self.first, self.rows = window(shown)
        scale = self.size.scale
        self.string_gap, self.fret_gap = _STRING_MM * scale, _FRET_MM * scale
        self.wide = (self.count - 1) * self.string_gap
        self.high = self.rows * self.fret_gap
        self._place()

    def _place(self) -> None:
        name = text_width(self.look.name, self.size.name_pt, SEMIBOLD) if self.look.name else 0.0
        side = max(_SIDE_MM * max(self.size.scale, 0.84), (name - self.wide) / 2 + 0.5)
        self.left = round(side, 3)
        named = bool(self.look.name) or self.look.blank
        cap = _CAP_EM * self.size.name_pt / POINTS_PER_MM
        up = self.size.name_up + cap + 0.9 if named else (_SIGN_UP_MM + 1.5) * self.size.scale
        self.top = round(up, 3)
        down = self.size.notes_down + 1.1 if self.look.notes else 0.6 * self.size.scale
        height = self.top + self.high + down
        self.canvas = Canvas(self.wide + 2 * side, height, self.look.palette)

    def x(self, string: int) -> float:
        """The place of a string, counted from 0."""
        place = self.count - 1 - string if self.look.left_handed else string
        return self.left + place * self.string_gap

    def y(self, fret: int) -> float:
        """The middle of a fret's row; above the nut for an open string."""
        if fret == 0:
            return self.top - _SIGN_UP_MM * self.size.scale
        return self.top + (fret - self.first + 0.5) * self.fret_gap

    def grid(self) -> None:
        line = THIN_MM * self.size.line
        reach = line / 2
        left, right = self.left - reach, self.left + self.wide + reach
        rows = [self.top + row * self.fret_gap for row in range(self.rows + 1)]
        across = [[(left, y), (right, y)] for y in rows]
        down = [[(self.x(s), self.top), (self.x(s), rows[-1])] for s in range(self.count)]
        self.canvas.lines(across + down, line)
        if self.first == 1:
            thick = NUT_MM * self.size.scale
            self.canvas.rectangle(left, self.top - thick, right - left, thick + reach, "ink")
        else:
            self._number(left, right)

    def _number(self, left: float, right: float) -> None:
        gap = _NUMBER_GAP_MM * self.size.scale
        y, text, size = self.y(self.first), str(self.first), self.size.note_pt
        if self.look.left_handed:
            self.canvas.letter(right + gap, y, text, size, anchor="left")
        else:
            self.canvas.letter(left - gap, y, text, size, anchor="right")

    def head(self) -> None:
        up = self.size.name_up
        if self.look.blank:
            y = self.top - up + 0.8
            self.canvas.lines([[(self.left, y), (self.left + self.wide, y)]], THIN_MM)
        elif self.look.name:
            self.canvas.text(
                self.left + self.wide / 2,
                self.top - up,
                self.look.name,
                self.size.name_pt,
                weight=SEMIBOLD,
            )

    def rings(self) -> None:
        """Dotted rings where fingers were that have moved."""
        for string in self._moved():
            fret = (self.look.was or ())[string]
            if fret is not None:
                d = self.size.mark if fret else (_SIGN_MM + 0.3) * self.size.scale
                draw_mark(self.canvas, self.x(string), self.y(fret), "was", d)

    def _moved(self) -> list[int]:
        if self.look.was is None:
            return []
        pairs = zip(self.voicing.frets, self.look.was, strict=True)
        return [string for string, (now, old) in enumerate(pairs) if now != old]

    def marks(self) -> None:
        for string, fret in enumerate(self.voicing.frets):
            gid = f"string-{string + 1}-" + ("muted" if fret is None else f"fret-{fret}")
            with self.canvas.group(gid):
                self._mark(string, fret)

    def _mark(self, string: int, fret: int | None) -> None:
        x, scale = self.x(string), self.size.scale
        line = _SIGN_LINE_MM * self.size.line
        if fret is None:
            half, y = 0.44 * _SIGN_MM * scale, self.y(0)
            cross = [
                [(x - half, y - half), (x + half, y + half)],
                [(x - half, y + half), (x + half, y - half)],
            ]
            self.canvas.lines(cross, line)
        elif fret == 0:
            self.canvas.circle(x, self.y(0), _SIGN_MM * scale, stroke="ink", width=line)
        else:
            letter = self._finger(string)
            size = SMALL_PT * max(1.0, scale)
            draw_mark(
                self.canvas, x, self.y(fret), self._role(string), self.size.mark, letter, size
            )

    def _role(self, string: int) -> str:
        midi = self.voicing.midi[string]
        if midi is None or self.look.marks == "fingers":
            return "note"
        tells = self.look.marks == "roles" or string in self._moved()
        return role_of(self.chord, midi % 12) if tells else "note"

    def _finger(self, string: int) -> str:
        if self.look.marks != "fingers":
            return ""
        fingers = self.voicing.fingers
        finger = fingers[string] if fingers else None
        return str(finger) if finger else ""

    def notes(self) -> None:
        """The names of the notes below their strings."""
        named = self.voicing.spelled(self.chord) if self.chord else self.voicing.notes
        baseline = self.top + self.high + self.size.notes_down
        for string, note in enumerate(named):
            if note is not None:
                self.canvas.text(self.x(string), baseline, note.unicode, self.size.note_pt)
