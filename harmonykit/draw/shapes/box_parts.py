"""The parts of a box: where its lines and marks stand, and what each is drawn with.

Conventions.  Strings and frets as in ``harmonykit.draw.shapes.box``; lengths are in mm.  A
double string is two lines.  A short string has no line before the fret at which it starts, and no
wire crosses its place there; what is played on it open or muted is said above, as on any string.
"""

from collections.abc import Iterator
from functools import cached_property

from harmonykit.draw.base.canvas import NUT_MM, THIN_MM, Canvas
from harmonykit.draw.base.fonts import POINTS_PER_MM, SEMIBOLD, WIDER, text_width
from harmonykit.draw.base.marks import degree_label, draw_mark, draw_tail, half_width, role_of
from harmonykit.draw.shapes import looks
from harmonykit.draw.shapes.looks import Drawn, drawn_order, span, strands, whole_strings
from harmonykit.draw.tree import Point
from harmonykit.fretboard.hands.hand import THUMB, Fingering
from harmonykit.fretboard.shapes.frettings import window
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord

_STRING_MM, _FRET_MM = 5.0, 5.6
_SIDE_MM, _NUMBER_GAP_MM = 6.0, 2.9
# A capo reaches past the outer strings; a short string starts at a peg of this width.
_CAPO_OVER_MM, _PEG_MM = 1.3, 2.2
# As part of a mark's d: clearly a bar between two discs, clearly no string or wire.
_BARRE = 0.44


class Box:
    """A box on its canvas: where things stand, and the parts drawn one after the other."""

    def __init__(self, voicing: Voicing, chord: Chord | None, look: Drawn) -> None:
        self.voicing, self.chord, self.look = voicing, chord, look
        self.size = looks.BOX_SIZES[look.size]
        self.count = len(voicing.frets)
        self.order = drawn_order(self.count, look.left_handed, look.reverse_strings)
        self.first, self.rows = window((*voicing.frets, *(look.was or ())))
        scale = self.size.scale
        self.string_gap, self.fret_gap = _STRING_MM * scale, _FRET_MM * scale
        self.wide = (self.count - 1) * self.string_gap
        self.high = self.rows * self.fret_gap
        self._place()

    def _place(self) -> None:
        name = text_width(self.look.name, self.size.name_pt, SEMIBOLD) if self.look.name else 0.0
        # A reader without our fonts sees wider ones: a long name must not be cut there.
        side = max(_SIDE_MM * self.size.side, (WIDER * name - self.wide) / 2 + 0.5)
        self.left = round(side, 3)
        named = bool(self.look.name) or self.look.blank
        cap = looks.CAP_EM * self.size.name_pt / POINTS_PER_MM
        up = self.size.name_up + cap + 0.9 if named else (looks.SIGN_UP_MM + 1.5) * self.size.scale
        self.top = round(up, 3)
        down = self.size.notes_down + 1.1 if self.look.below else 0.6 * self.size.scale
        height = self.top + self.high + down
        self.canvas = Canvas(self.wide + 2 * side, height, self.look.palette)

    @cached_property
    def fingering(self) -> Fingering | None:
        """The fingering that is drawn: the one given, else the shape's own."""
        return self.look.fingering or self.voicing.fingering

    def x(self, string: int) -> float:
        """The place of a string, counted from 0."""
        return self.left + self.order.index(string) * self.string_gap

    def y(self, fret: int) -> float:
        """The middle of a fret's row; above the nut for an open string."""
        if fret == 0:
            return self.top - looks.SIGN_UP_MM * self.size.scale
        return self.top + (fret - self.first + 0.5) * self.fret_gap

    def y_of_wire(self, fret: int) -> float:
        """The height of a fret's wire; the one above the first row is its lower neighbour's."""
        return self.top + (fret - self.first + 1) * self.fret_gap

    def grid(self) -> None:
        """Wires, strings, and on top the nut or the first fret's number."""
        line = THIN_MM * self.size.line
        wires = dict(self._wires(line / 2))
        strings = dict(self._strings())
        if self.look.places:
            self._named_lines("wire", {wire: [stroke] for wire, stroke in wires.items()}, line)
            self._named_lines("line", {s + 1: list(lines) for s, lines in strings.items()}, line)
        else:
            down = [stroke for strokes in strings.values() for stroke in strokes]
            self.canvas.lines([*wires.values(), *down], line)
        if self.first == 1:
            self._nut(line / 2)
        else:
            self._number(line / 2)
        self._pegs()

    def _wires(self, reach: float) -> Iterator[tuple[int, list[Point]]]:
        for row in range(self.rows + 1):
            wire = self.first - 1 + row
            left, right = self._across(wire, reach)
            y = self.top + row * self.fret_gap
            yield wire, [(left, y), (right, y)]

    def _across(self, wire: int, reach: float) -> tuple[float, float]:
        """From the first to the last line that lies on a wire, and a reach more."""
        instrument, scale = self.voicing.instrument, self.size.scale
        left, right = span(
            self.x(string) + beside
            for string in whole_strings(instrument, wire)
            for beside in strands(instrument, string, scale)
        )
        return left - reach, right + reach

    def _strings(self) -> Iterator[tuple[int, list[list[Point]]]]:
        bottom = self.top + self.high
        instrument = self.voicing.instrument
        for string in range(self.count):
            start = max(self.y_of_wire(instrument.start(string)), self.top)
            beside = strands(instrument, string, self.size.scale)
            x = self.x(string)
            if start < bottom:
                yield string, [[(x + b, start), (x + b, bottom)] for b in beside]

    def _named_lines(self, kind: str, strokes: dict[int, list[list[Point]]], line: float) -> None:
        for number, lines in strokes.items():
            with self.canvas.group(f"{kind}-{number}", kind):
                self.canvas.lines(lines, line)

    def _nut(self, reach: float) -> None:
        left, right = self._across(0, reach)
        thick = NUT_MM * self.size.scale
        if self.voicing.instrument.capo:
            over = _CAPO_OVER_MM * self.size.scale
            y = self.top - thick / 2
            self.canvas.lines([[(left - over, y), (right + over, y)]], thick, cap="round")
        else:
            self.canvas.rectangle(left, self.top - thick, right - left, thick + reach, "ink")

    def _number(self, reach: float) -> None:
        gap = max(_NUMBER_GAP_MM * self.size.scale, self._mark_beside_number() + 0.62)
        y, text, size = self.y(self.first), str(self.first), self.size.note_pt
        if self.look.left_handed:
            right = self.left + self.wide + reach
            self.canvas.letter(right + gap, y, text, size, anchor="left")
        else:
            self.canvas.letter(self.left - reach - gap, y, text, size, anchor="right")

    def _mark_beside_number(self) -> float:
        """How far a mark in the number's row reaches past the string beside it."""
        string = self.order[-1 if self.look.left_handed else 0]
        if self.look.blank or self.voicing.frets[string] != self.first:
            return 0.0
        return half_width(self._role(string)) * self.size.mark

    def _pegs(self) -> None:
        """Where a short string starts within the box, a piece of nut for it alone."""
        wide, thick = _PEG_MM * self.size.scale, NUT_MM * self.size.scale
        for string in range(self.count):
            start = self.voicing.instrument.start(string)
            if start and self.first - 1 <= start < self.first - 1 + self.rows:
                x, y = self.x(string) - wide / 2, self.y_of_wire(start) - thick
                self.canvas.rectangle(x, y, wide, thick, "ink")

    def head(self) -> None:
        """The name, or the line on which it is to be written."""
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

    def barres(self) -> None:
        """A bar behind the marks that one finger presses."""
        barres = self.fingering.barres if self.look.barre and self.fingering else ()
        for barre in barres:
            y = self.y(barre.fret)
            with self.canvas.group(f"barre-{barre.fret}"):
                ends = [(self.x(barre.first), y), (self.x(barre.last), y)]
                self.canvas.lines([ends], _BARRE * self.size.mark)

    def tails(self) -> None:
        """From where fingers slid, as far as the frets drawn reach."""
        for string, fret in self.look.slid if self.look.marks == "fingers" else ():
            x, end = self.x(string), self.y(self.voicing.frets[string] or 0)
            start = min(max(self.y(fret), self.top), self.top + self.high)
            with self.canvas.group(f"slide-{string + 1}-from-{fret}"):
                draw_tail(self.canvas, (x, start), (x, end), self.size.mark)

    def rings(self) -> None:
        """Dotted rings where fingers were that have moved."""
        for string in self._moved():
            fret = (self.look.was or ())[string]
            if fret is not None:
                d = self.size.mark if fret else (looks.SIGN_MM + 0.3) * self.size.scale
                draw_mark(self.canvas, self.x(string), self.y(fret), "was", d)

    def _moved(self) -> list[int]:
        if self.look.was is None:
            return []
        pairs = zip(self.voicing.frets, self.look.was, strict=True)
        return [string for string, (now, old) in enumerate(pairs) if now != old]

    def empty_places(self) -> None:
        """What a click can meet where nothing is marked: each fret of each string, and open."""
        for string, played in enumerate(self.voicing.frets):
            for fret in (0, *range(self.first, self.first + self.rows)):
                marked = fret == played and not self.look.blank
                if self.voicing.instrument.has_fret(string, fret) and not marked:
                    with self.canvas.group(f"string-{string + 1}-fret-{fret}", "place"):
                        self._area(string, fret)

    def _area(self, string: int, fret: int) -> None:
        wide, high = (
            self.string_gap,
            self.fret_gap if fret else 2 * looks.SIGN_MM * self.size.scale,
        )
        self.canvas.area(self.x(string) - wide / 2, self.y(fret) - high / 2, wide, high)

    def marks(self) -> None:
        """A mark for each string: where it is pressed, or o or x above."""
        classes = "place" if self.look.places else ""
        for string, fret in enumerate(self.voicing.frets):
            gid = f"string-{string + 1}-" + ("muted" if fret is None else f"fret-{fret}")
            with self.canvas.group(gid, classes):
                if self.look.places and fret is not None:
                    self._area(string, fret)
                self._mark(string, fret)

    def _mark(self, string: int, fret: int | None) -> None:
        x, scale = self.x(string), self.size.scale
        line = looks.SIGN_LINE_MM * self.size.line
        if fret is None:
            self.canvas.cross(x, self.y(0), 0.44 * looks.SIGN_MM * scale, line)
        elif fret == 0 and self._role(string) == "third" and self.look.third:
            draw_mark(self.canvas, x, self.y(0), "third", looks.SIGN_MM * scale)
        elif fret == 0:
            self.canvas.circle(x, self.y(0), looks.SIGN_MM * scale, stroke="ink", width=line)
        else:
            letter = self._finger(string)
            role, size = self._role(string), self.size.finger_pt
            draw_mark(self.canvas, x, self.y(fret), role, self.size.mark, letter, size)

    def _role(self, string: int) -> str:
        midi = self.voicing.midi[string]
        if midi is None:
            return "note"
        if self.look.third and role_of(self.chord, midi % 12) == "third":
            return "third"
        if self.look.marks == "fingers":
            slid = any(string == one for one, _ in self.look.slid)
            return "stays" if string in self.look.kept else "slides" if slid else "note"
        tells = self.look.marks == "roles" or string in self._moved()
        return role_of(self.chord, midi % 12) if tells else "note"

    def _finger(self, string: int) -> str:
        if self.look.marks != "fingers" or self.fingering is None:
            return ""
        finger = self.fingering.fingers[string]
        return ("T" if finger == THUMB else str(finger)) if finger else ""

    def names(self) -> None:
        """The names or the degrees of the notes below their strings."""
        named = self.voicing.spelled(self.chord) if self.chord else self.voicing.notes
        baseline = self.top + self.high + self.size.notes_down
        for string, note in enumerate(named):
            if note is not None:
                degree = degree_label(self.chord, note.pitch_class)
                text = degree if self.look.below == "degrees" else note.unicode
                self.canvas.text(self.x(string), baseline, text, self.size.note_pt)
