"""Shapes along the whole neck, in order, or the way from one shape to another.

Conventions.  The nut is at the left, or at the right for a left-handed player; the string drawn on
top is the last of the instrument's order, unless the order is reversed.  Fret wires stand in true
proportion, a mark half-way between two wires.  The mark of the second string at the third fret has
the id ``string-2-fret-3``, the ring where a note was ``string-2-was-3``, the arrow between them
``string-2-move``.

The way of an arrow from one mark to another: straight where there is room, else over the top.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from harmonykit.draw.base import canvas, fonts, given, marks
from harmonykit.draw.base.given import Shape, ShapeLike
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.board import Board, NeckLook, all_places, draw_board
from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.tree import Point
from harmonykit.errors import HarmonyError, wrong_kind
from harmonykit.fretboard.shapes.voicing import Instrument, InstrumentLike, Voicing, as_instrument
from harmonykit.theory.chord import Chord, Note

__all__ = ["draw_box", "draw_neck"]

# From a mark's middle to where an arrow leaves or ends, as parts of the mark's d.
_LEAVE, _REACH = 0.52, 0.76
_RISE = 0.62


def hop(start: Point, end: Point, mark: float, least: float) -> list[Point]:
    """Return the points of an arrow between two marks at one height.

    Parameters
    ----------
    start, end : (float, float)
        The marks' middles, in mm.
    mark : float
        The marks' d, in mm.
    least : float
        A straight arrow shorter than this, in mm, is drawn as an arch above both marks.

    Examples
    --------
    >>> hop((0, 0), (20, 0), 5, 2.7)
    [(2.6, 0.0), (16.2, 0.0)]
    >>> len(hop((0, 0), (7, 0), 5, 2.7)) > 2
    True
    """
    (x0, y), (x1, _) = start, end
    way = math.copysign(1.0, x1 - x0)
    a, b = x0 + way * _LEAVE * mark, x1 - way * _REACH * mark
    if (b - a) * way >= least:
        return [(round(a, 3), float(y)), (round(b, 3), float(y))]
    foot = y - 0.5 * mark
    middle, half = (x0 + x1) / 2, (x1 - x0) / 2
    # Half an ellipse from crown to crown; it ends short of the mark, pointing down into it.
    turns = [math.pi * step / 14 for step in range(13)]
    return [
        (middle - half * math.cos(turn), foot - _RISE * mark * math.sin(turn)) for turn in turns
    ]


_DASH_MM = (0.95, 0.75)
_ARROW_MM, _MUTED_MM = 0.65, 0.42
# Room for the topmost names, in mm for each point of type.
_NAME_ROOM = 0.381
_ON_NECK = 'hk.draw.scale("ukulele", "C dorian"), or [("0003", "C"), ("2010", "F")]'
LETTERS = ("notes", "degrees", "none")


def draw_neck(
    instrument: InstrumentLike,
    shapes: Sequence[ShapeLike],
    *,
    names: Sequence[str] | None = None,
    letters: str = "notes",
    arrows: bool = False,
    look: NeckLook | None = None,
    palette: str = "colour",
) -> Drawing:
    """Draw shapes on the neck, each joined by a line from string to string.

    Parameters
    ----------
    instrument : Instrument
    shapes : sequence of (Voicing or str, Chord or str)
        In playing order; the chord gives name, roles and spelling.
    names : sequence of str, optional
        The name above each shape; the chord's printed symbol where not given.
    letters : {"notes", "degrees", "none"}
        What is written in the marks.
    arrows : bool
        Of two shapes, draw how each string goes from the first to the second: a dotted ring
        where it was, an arrow along the string, a mark where it is.
    look : NeckLook, optional
        How many frets, which hand, which shapes are on the way, and the size.
    palette : str

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If a shape belongs to another number of strings, names do not match the shapes, arrows are
        asked for other than two shapes, or letters are unknown.

    Examples
    --------
    >>> ukulele = hk.Instrument.named("ukulele")
    >>> chord = hk.Chord.parse("C6")
    >>> neck = hk.draw.neck(ukulele, [(hk.Voicing.parse("2433", ukulele), chord)])
    >>> neck.width_mm, 'id="string-1-fret-2"' in neck.svg
    (174.0, True)
    """
    instrument = as_instrument(instrument)
    if isinstance(shapes, str) or not isinstance(shapes, Iterable):
        raise wrong_kind(shapes, "a list of shapes", _ON_NECK)
    shapes = given.as_shapes(shapes, instrument)
    named = [chord.unicode if chord else v.digits for v, chord in shapes]
    labels = list(named if names is None else names)
    _check(instrument, shapes, labels, letters, arrows=arrows)
    highest = max((v.highest_fret for v, _ in shapes), default=0)
    look = given.as_look(look, NeckLook)
    passing = set(look.passing)
    shown = min(max(look.frets, highest), instrument.frets)
    board = Board(instrument, shown, look.left_handed, look.reverse_strings, look.width, look.size)
    neck = _Neck(board, shapes, {0} if arrows else passing, letters, palette)
    neck.lay_names(labels)
    draw_board(neck.canvas, neck.board, named=look.places)
    if look.places:
        neck.empty_places()
    if arrows:
        neck.moves()
    else:
        neck.joins()
        neck.notes()
    alt = _describe(neck.board, shapes, labels, passing, arrows=arrows)
    return neck.canvas.drawing("shapes on the neck", alt, (board.x_of_wire(0), neck.board.top))


def _check(
    instrument: Instrument,
    shapes: Sequence[Shape],
    labels: Sequence[str],
    letters: str,
    *,
    arrows: bool,
) -> None:
    if len(labels) != len(shapes):
        raise HarmonyError(f"{len(labels)} names for {len(shapes)} shapes")
    if any(len(v.frets) != len(instrument.strings) for v, _ in shapes):
        raise HarmonyError("a shape and the neck differ in the number of strings")
    if letters not in LETTERS:
        raise HarmonyError(
            f"{letters!r} is not a setting for letters", mend=", ".join(map(repr, LETTERS))
        )
    if arrows and len(shapes) != 2:
        raise HarmonyError(f"arrows between {len(shapes)} shapes", rule="arrows join two shapes")


def name_room(board: Board, palette: str, rows: int = 1) -> tuple[Board, canvas.Canvas]:
    """Return a board with room for rows of names over it, and the canvas to draw both on."""
    sizes = board.sizes
    top = round(sizes.name_up + _NAME_ROOM * sizes.name_pt + sizes.row * (rows - 1), 3)
    high = top + board.high + sizes.number_down + 2.2 * sizes.number_pt / 9.0
    return replace(board, top=top), canvas.Canvas(board.width, high, palette)


def the_neck(board: Board) -> str:
    """Say which neck is drawn."""
    hand = ", drawn for the left hand" if board.turned else ""
    return f"The neck of the {board.instrument.name}, tuned {board.instrument.tuning_said}{hand}"


class _Neck:
    """Shapes on a board; ``aside`` are those that are on the way, or from which arrows start."""

    def __init__(
        self, board: Board, shapes: Sequence[Shape], aside: set[int], letters: str, palette: str
    ) -> None:
        self.board, self.shapes, self.aside = board, shapes, aside
        self.letters, self.palette = letters, palette

    def lay_names(self, labels: Sequence[str]) -> None:
        """Set names over their shapes, one row higher where two would touch."""
        sizes, width = self.board.sizes, self.board.width
        places = [self._name_x(voicing) for voicing, _ in self.shapes]
        rows: list[float] = []
        laid: list[tuple[int, float, str, int]] = []
        for index in sorted(range(len(labels)), key=lambda i: (places[i], i)):
            weight = fonts.REGULAR if index in self.aside else fonts.SEMIBOLD
            label = fonts.shortened(labels[index], width / fonts.WIDER, sizes.name_pt, weight)
            half = fonts.text_width(label, sizes.name_pt, weight) / 2
            # Clear of the edges in a wider face too, where ours is not at hand.
            edge = fonts.WIDER * half
            x = min(max(places[index], edge), width - edge)
            row = next((r for r, end in enumerate(rows) if x - half > end + 1.0), len(rows))
            rows[row : row + 1] = [x + half]
            laid.append((row, x, label, weight))
        self.board, self.canvas = name_room(self.board, self.palette, rows=max(len(rows), 1))
        for row, x, label, weight in laid:
            baseline = self.board.top - sizes.name_up - sizes.row * row
            colour = "ink" if weight == fonts.SEMIBOLD else "soft"
            self.canvas.text(x, baseline, label, sizes.name_pt, weight=weight, colour=colour)

    def _name_x(self, voicing: Voicing) -> float:
        """Names stand over the topmost string that sounds."""
        return min(self.board.points(voicing), key=lambda point: point[1])[0]

    def empty_places(self) -> None:
        """What a click can meet where nothing is marked."""
        marked = {place for voicing, _ in self.shapes for place in enumerate(voicing.frets)}
        for string, fret in all_places(self.board):
            if (string, fret) not in marked:
                with self.canvas.group(f"string-{string + 1}-fret-{fret}", "place"):
                    self.canvas.area(*self.board.cell(string, fret))

    def joins(self) -> None:
        """Lines from string to string, those of passing shapes first and dashed."""
        lines = [self.board.points(voicing) for voicing, _ in self.shapes]
        on_the_way = [line for i, line in enumerate(lines) if i in self.aside and len(line) > 1]
        main = [line for i, line in enumerate(lines) if i not in self.aside and len(line) > 1]
        wider = self.board.sizes.line**0.5
        if on_the_way:
            self.canvas.lines(on_the_way, 0.3 * wider, dash=_DASH_MM)
        if main:
            self.canvas.lines(main, canvas.JOIN_MM * wider)

    def notes(self) -> None:
        """The marks; a place in two shapes is marked once, and for one that is not passing."""
        taken: set[tuple[int, int]] = set()
        for on_the_way in (False, True):
            for index, shape in enumerate(self.shapes):
                if (index in self.aside) == on_the_way:
                    self._marks(shape, passing=on_the_way, taken=taken)
        if len(self.shapes) == 1:
            self._crosses(self.shapes[0][0])

    def _marks(self, shape: Shape, *, passing: bool, taken: set[tuple[int, int]]) -> None:
        for string, fret, note in _sounding(shape):
            if (string, fret) not in taken:
                taken.add((string, fret))
                role = "passing" if passing else marks.role_of(shape[1], note.pitch_class)
                self._mark(string, fret, role, "" if passing else self._letter(shape[1], note))

    def _mark(self, string: int, fret: int, role: str, letter: str) -> None:
        kind = "was" if role == "was" else "fret"
        board = self.board
        with self.canvas.group(f"string-{string + 1}-{kind}-{fret}"):
            x, y = board.x(fret, string), board.y(string)
            marks.draw_mark(self.canvas, x, y, role, board.mark, letter, board.sizes.letter_pt)

    def _letter(self, chord: Chord | None, note: Note) -> str:
        if self.letters == "degrees":
            return marks.degree_label(chord, note.pitch_class)
        return note.unicode if self.letters == "notes" else ""

    def _crosses(self, voicing: Voicing) -> None:
        """A cross beyond the nut for each muted string."""
        half = 0.2 * self.board.sizes.mark
        for string, fret in enumerate(voicing.frets):
            if fret is None:
                x, y = self.board.x(0, string), self.board.y(string)
                with self.canvas.group(f"string-{string + 1}-muted"):
                    self.canvas.cross(x, y, half, _MUTED_MM * self.board.sizes.line)

    def moves(self) -> None:
        """Rings where notes were, arrows along the strings, and the second shape's marks."""
        before, after = self.shapes
        for string, fret, note in _sounding(before):
            if after[0].frets[string] != fret:
                self._mark(string, fret, "was", self._letter(before[1], note))
        for string, (old, new) in enumerate(zip(before[0].frets, after[0].frets, strict=True)):
            if old is not None and new is not None and old != new:
                y = self.board.y(string)
                start = self.board.x(old, string), y
                end = self.board.x(new, string), y
                with self.canvas.group(f"string-{string + 1}-move"):
                    self._arrow(start, end)
        for string, fret, note in _sounding(after):
            role = marks.role_of(after[1], note.pitch_class)
            self._mark(string, fret, role, self._letter(after[1], note))
        self._crosses(after[0])

    def _arrow(self, start: Point, end: Point) -> None:
        width = _ARROW_MM * self.board.sizes.line**0.5
        self.canvas.arrow(hop(start, end, self.board.mark, 4.2 * width), width)


def _sounding(shape: Shape) -> Iterator[tuple[int, int, Note]]:
    for string, (fret, note) in enumerate(zip(shape[0].frets, given.notes_of(*shape), strict=True)):
        if fret is not None and note is not None:
            yield string, fret, note


def _describe(
    board: Board,
    shapes: Sequence[Shape],
    labels: Sequence[str],
    passing: set[int],
    *,
    arrows: bool,
) -> str:
    head = f"{the_neck(board)}. "
    if arrows:
        return head + given.describe_change(shapes[0], shapes[1], labels)
    parts = [
        ("on the way, " if index in passing else "")
        + given.describe_shape(voicing, chord, name=label)
        for index, ((voicing, chord), label) in enumerate(zip(shapes, labels, strict=True))
    ]
    return head + ". ".join(parts)
