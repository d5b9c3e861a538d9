"""Shapes along the whole neck, in order.

Conventions.  The nut is at the left, or at the right for a left-handed player; the string drawn on
top is the last of the instrument's order.  Fret wires stand in true proportion, a mark half-way
between two wires.  The mark of the second string at the third fret has the id ``string-2-fret-3``.
"""

from __future__ import annotations

from collections.abc import Sequence

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.voicing import Voicing
from harmonykit.show.box import draw_box
from harmonykit.show.canvas import Canvas, Point, text_width
from harmonykit.show.marks import draw_mark
from harmonykit.show.roles import role_of
from harmonykit.show.style import JOIN_MM, LABEL_PT, NUT_MM, SEMIBOLD, SMALL_PT, THIN_MM, Drawing
from harmonykit.show.words import describe_shape
from harmonykit.theory.chord import Chord

__all__ = ["draw_box", "draw_neck"]

_STRING_MM, _MARK_MM = 8.0, 5.0
_LABEL_X_MM, _OPEN_X_MM, _NUT_X_MM, _BEYOND_MM = 2.9, 10.9, 16.0, 1.6
_NAME_UP_MM, _ROW_MM, _NUMBER_DOWN_MM = 5.3, 4.6, 6.6
_NAME_PT, _NUMBER_PT = 10.5, 9.0
_DASH_MM = (0.95, 0.75)
_DOTTED_FRETS = (5, 7, 10, 12)


def draw_neck(
    instrument: Instrument,
    shapes: Sequence[tuple[Voicing, Chord | None]],
    *,
    passing: Sequence[int] = (),
    frets: int = 12,
    names: Sequence[str] | None = None,
    left_handed: bool = False,
    width: float = 174.0,
    palette: str = "colour",
) -> Drawing:
    """Draw shapes on the neck, each joined by a line from string to string.

    Parameters
    ----------
    instrument : Instrument
    shapes : sequence of (Voicing, Chord or None)
        In playing order; the chord gives name, roles and spelling.
    passing : sequence of int
        Which shapes (counted from 0) are on the way: small dots, dashed lines.
    frets : int in 1..24
        How many frets are shown, at least.
    names : sequence of str, optional
        What stands above each shape, unless the chord's printed symbol.
    left_handed : bool
    width : float
        Of the whole figure, in mm.
    palette : str

    Raises
    ------
    HarmonyError
        If a shape belongs to another number of strings, or names do not match the shapes.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> chord = Chord.parse("C6")
    >>> neck = draw_neck(ukulele, [(Voicing.parse("2433", ukulele), chord)])
    >>> neck.width_mm, 'id="string-1-fret-2"' in neck.svg
    (174.0, True)
    """
    named = [chord.unicode if chord else v.digits for v, chord in shapes]
    labels = list(named if names is None else names)
    if len(labels) != len(shapes):
        raise HarmonyError(f"{len(labels)} names for {len(shapes)} shapes")
    if any(len(v.frets) != len(instrument.strings) for v, _ in shapes):
        raise HarmonyError("a shape has another number of strings than the neck")
    highest = max((v.highest_fret for v, _ in shapes), default=0)
    neck = _Neck(instrument, max(frets, highest), left_handed, width, palette)
    neck.lay_names([neck.name_x(v) for v, _ in shapes], labels, set(passing))
    neck.board()
    neck.joins(shapes, set(passing))
    neck.notes(shapes, set(passing))
    alt = _describe(instrument, shapes, labels, set(passing), left_handed)
    return neck.canvas.drawing("shapes on the neck", alt, (neck.x_of_wire(0), neck.top))


class _Neck:
    def __init__(
        self, instrument: Instrument, frets: int, left_handed: bool, width: float, palette: str
    ) -> None:
        self.instrument, self.frets, self.left_handed = instrument, frets, left_handed
        self.width, self.palette = width, palette
        self.count = len(instrument.strings)
        full = 1 - 2 ** (-frets / 12)
        self.scale = (width - _NUT_X_MM - _BEYOND_MM - 0.4) / full

    def lay_names(self, places: list[float], labels: list[str], passing: set[int]) -> None:
        """Set names over their shapes, one row higher where two would touch."""
        rows: list[float] = []
        laid: list[tuple[int, float, str, bool]] = []
        order = sorted(range(len(labels)), key=lambda i: (places[i], i))
        for index in order:
            main = index not in passing
            half = text_width(labels[index], _NAME_PT, SEMIBOLD if main else 400) / 2
            x = min(max(places[index], half), self.width - half)
            row = next((r for r, end in enumerate(rows) if x - half > end + 1.0), len(rows))
            rows[row : row + 1] = [x + half]
            laid.append((row, x, labels[index], main))
        self.top = round(_NAME_UP_MM + 4.0 + _ROW_MM * max(len(rows) - 1, 0), 3)
        bottom = self.top + (self.count - 1) * _STRING_MM
        self.canvas = Canvas(self.width, bottom + _NUMBER_DOWN_MM + 2.2, self.palette)
        for row, x, label, main in laid:
            baseline = self.top - _NAME_UP_MM - _ROW_MM * row
            weight, colour = (SEMIBOLD, "ink") if main else (400, "soft")
            self.canvas.text(x, baseline, label, _NAME_PT, weight=weight, colour=colour)

    def _side(self, x: float) -> float:
        return self.width - x if self.left_handed else x

    def x_of_wire(self, fret: int) -> float:
        """The place of a fret's wire; the nut is wire 0."""
        return self._side(_NUT_X_MM + self.scale * (1 - 2 ** (-fret / 12)))

    def x(self, fret: int) -> float:
        """Where a note at a fret is drawn: between two wires, or beyond the nut when open."""
        if fret == 0:
            return self._side(_OPEN_X_MM)
        return (self.x_of_wire(fret - 1) + self.x_of_wire(fret)) / 2

    def y(self, string: int) -> float:
        """The height of a string, counted from 0: the last one on top."""
        return self.top + (self.count - 1 - string) * _STRING_MM

    def name_x(self, voicing: Voicing) -> float:
        """Names stand over the topmost string that sounds."""
        string = max(s for s, fret in enumerate(voicing.frets) if fret is not None)
        return self.x(voicing.frets[string] or 0)

    def board(self) -> None:
        """Strings, wires, nut, the strings' names and the frets' numbers."""
        top, bottom = self.y(self.count - 1), self.y(0)
        reach = THIN_MM / 2
        end = self._side(self.width - 0.4)
        strings = [[(self.x_of_wire(0), self.y(s)), (end, self.y(s))] for s in range(self.count)]
        wires = [
            [(self.x_of_wire(f), top - reach), (self.x_of_wire(f), bottom + reach)]
            for f in range(1, self.frets + 1)
        ]
        self.canvas.lines(strings + wires, THIN_MM)
        nut = self.x_of_wire(0) - (0.0 if self.left_handed else NUT_MM)
        self.canvas.rectangle(nut, top - reach, NUT_MM, bottom - top + 2 * reach, "ink")
        for string, label in enumerate(self.instrument.labels):
            x = self._side(_LABEL_X_MM)
            self.canvas.letter(x, self.y(string), label, LABEL_PT, weight=SEMIBOLD)
        self._numbers(bottom + _NUMBER_DOWN_MM)

    def _numbers(self, y: float) -> None:
        for fret in range(1, self.frets + 1):
            marked = (fret - 1) % 12 + 1 in _DOTTED_FRETS
            weight, colour = (SEMIBOLD, "ink") if marked else (400, "soft")
            self.canvas.letter(self.x(fret), y, str(fret), _NUMBER_PT, weight=weight, colour=colour)

    def joins(self, shapes: Sequence[tuple[Voicing, Chord | None]], passing: set[int]) -> None:
        """Lines from string to string, those of passing shapes first and dashed."""
        lines = [self._points(voicing) for voicing, _ in shapes]
        on_the_way = [line for i, line in enumerate(lines) if i in passing and len(line) > 1]
        main = [line for i, line in enumerate(lines) if i not in passing and len(line) > 1]
        if on_the_way:
            self.canvas.lines(on_the_way, 0.3, dash=_DASH_MM)
        if main:
            self.canvas.lines(main, JOIN_MM)

    def _points(self, voicing: Voicing) -> list[Point]:
        return [
            (self.x(fret), self.y(string))
            for string, fret in enumerate(voicing.frets)
            if fret is not None
        ]

    def notes(self, shapes: Sequence[tuple[Voicing, Chord | None]], passing: set[int]) -> None:
        """The marks; a place in two shapes is marked once, and for one that is not passing."""
        taken: set[tuple[int, int]] = set()
        for on_the_way in (False, True):
            for index, (voicing, chord) in enumerate(shapes):
                if (index in passing) == on_the_way:
                    self._marks(voicing, chord, on_the_way, taken)

    def _marks(
        self, voicing: Voicing, chord: Chord | None, passing: bool, taken: set[tuple[int, int]]
    ) -> None:
        notes = voicing.spelled(chord) if chord else voicing.notes
        for string, (fret, note) in enumerate(zip(voicing.frets, notes, strict=True)):
            if fret is None or note is None or (string, fret) in taken:
                continue
            taken.add((string, fret))
            role = "passing" if passing else role_of(chord, note.pitch_class)
            letter = "" if passing else note.unicode
            with self.canvas.group(f"string-{string + 1}-fret-{fret}"):
                x, y = self.x(fret), self.y(string)
                draw_mark(self.canvas, x, y, role, _MARK_MM, letter, SMALL_PT)


def _describe(
    instrument: Instrument,
    shapes: Sequence[tuple[Voicing, Chord | None]],
    labels: Sequence[str],
    passing: set[int],
    left_handed: bool,
) -> str:
    parts = [
        ("on the way, " if index in passing else "") + describe_shape(voicing, chord, name=label)
        for index, ((voicing, chord), label) in enumerate(zip(shapes, labels, strict=True))
    ]
    hand = ", drawn for the left hand" if left_handed else ""
    return f"The neck of the {instrument.name}, tuned {instrument.tuning}{hand}. {'. '.join(parts)}"
