"""The neck as a board: where strings, wires and places stand on it, and its lines.

Conventions.  The nut is at the left, or at the right for a left-handed player; the string drawn on
top is the last of the instrument's order, or the first where the order is reversed.  Wires stand in
true proportion; a place is half-way between two wires, an open string's beyond its nut.  Lengths
are in mm from the top left of the sheet.  A short string begins at its own fret: there it has a
piece of nut, its open place and its name.
"""

from collections.abc import Iterator

from harmonykit.draw.base.canvas import LABEL_PT, NUT_MM, SMALL_PT, THIN_MM, Canvas
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD
from harmonykit.draw.shapes import looks as drawn_strings
from harmonykit.draw.tree import Point
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.typed import as_typed
from harmonykit.values import dataclass

# Where necks have dots (common practice, no source).
_DOTS = {"ukulele": (5, 7, 10, 12), "guitar": (3, 5, 7, 9, 12), "short string": (3, 5, 7, 10, 12)}
_END_MM, _BEYOND_MM = 0.4, 1.6
_CAPO_OVER_MM, _PEG_MM = 1.8, 3.2
_LAST_ON_TOP = True


@dataclass(frozen=True, slots=True)
class BoardSize:
    """How large a neck is drawn: lengths in mm, type in points, ``line`` as a multiple."""

    string: float
    mark: float
    label_x: float
    open_x: float
    nut_x: float
    number_down: float
    letter_pt: float
    label_pt: float
    number_pt: float
    name_pt: float
    name_up: float
    row: float
    line: float


BOARD_SIZES = {
    "plain": BoardSize(
        8.0, 5.0, 2.9, 10.9, 16.0, 6.6, SMALL_PT, LABEL_PT, 9.0, 10.5, 5.3, 4.6, 1.0
    ),
    "large": BoardSize(12.0, 8.0, 4.4, 16.4, 24.0, 10.6, 13.0, 16.0, 14.0, 17.0, 8.0, 7.2, 1.8),
}


@dataclass(frozen=True, slots=True)
class NeckLook:
    """How shapes on a neck look beside their letters and their colours.

    Parameters
    ----------
    frets : int in 1..36
        How many frets are shown, at least; the whole neck where it has fewer.
    passing : sequence of int
        Which shapes (counted from 0) are on the way: small dots, dashed lines.
    left_handed : bool, optional
        The nut at the right; as the instrument is strung unless given.
    reverse_strings : bool
        The first string on top, as someone sees the neck who faces the player.
    width : float
        Of the whole figure, in mm.
    size : {"plain", "large"}
    places : bool
        Whether every string, fret and empty place has an id and an area to click on.

    Raises
    ------
    HarmonyError
        For an unknown size.

    Examples
    --------
    >>> hk.draw.NeckLook(frets=5, left_handed=True)
    NeckLook(frets=5, left_handed=True)
    """

    frets: int = 12
    passing: tuple[int, ...] = ()
    left_handed: bool | None = None
    reverse_strings: bool = False
    width: float = 174.0
    size: str = "plain"
    places: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "passing", tuple(self.passing))
        _check_size(self.size)

    def __repr__(self) -> str:
        return as_typed(self)


def _check_size(size: str) -> None:
    if size not in BOARD_SIZES:
        raise HarmonyError(f"{size!r} is not a neck size", mend=", ".join(map(repr, BOARD_SIZES)))


@dataclass(frozen=True, slots=True)
class Board:
    """A neck to draw on.

    Parameters
    ----------
    instrument : Instrument
    frets : int in 1..36
        How many are shown.
    left_handed : bool, optional
        The nut at the right; as the instrument is strung unless given.
    reverse_strings : bool
        The first string on top, as someone sees the neck who faces the player.
    width : float
        Of the whole figure, in mm.
    size : {"plain", "large"}
    top : float
        Where the topmost string lies, in mm.

    Raises
    ------
    HarmonyError
        For an unknown size, or frets that the neck does not have.

    Examples
    --------
    >>> board = Board(Instrument.named("ukulele"))
    >>> board.x(0), round(board.x(12) - board.x_of_wire(12), 1), board.y(3), board.y(0)
    (10.9, -4.6, 6.0, 30.0)
    """

    instrument: Instrument
    frets: int = 12
    left_handed: bool | None = None
    reverse_strings: bool = False
    width: float = 174.0
    size: str = "plain"
    top: float = 6.0

    def __post_init__(self) -> None:
        _check_size(self.size)
        if not 1 <= self.frets <= self.instrument.frets:
            raise HarmonyError(
                f"{self.frets} frets to draw", rule=f"the neck has {self.instrument.frets}"
            )

    @property
    def sizes(self) -> BoardSize:
        """The lengths and type sizes of this board."""
        return BOARD_SIZES[self.size]

    @property
    def turned(self) -> bool:
        """Whether the nut is at the right."""
        return drawn_strings.is_left_handed(self.instrument, asked=self.left_handed)

    @property
    def high(self) -> float:
        """From the topmost string to the lowest."""
        return (len(self.instrument.strings) - 1) * self.sizes.string

    @property
    def mark(self) -> float:
        """How large marks are: narrow frets high up a long neck make them smaller."""
        narrowest = abs(self.x_of_wire(self.frets) - self.x_of_wire(self.frets - 1))
        return min(self.sizes.mark, max(0.94 * narrowest, 0.84 * self.sizes.mark))

    def _side(self, x: float) -> float:
        return self.width - x if self.turned else x

    def x_of_wire(self, fret: int) -> float:
        """Return the place of a fret's wire; the nut is wire 0."""
        nut = self.sizes.nut_x
        scale = (self.width - nut - _BEYOND_MM - _END_MM) / (1 - 2 ** (-self.frets / 12))
        return self._side(nut + scale * (1 - 2 ** (-fret / 12)))

    def x(self, fret: int, string: int = -1) -> float:
        """Return where a note is drawn: between two wires, or beyond the string's nut when open."""
        if fret == 0:
            before = self.sizes.nut_x - self.sizes.open_x
            start = self.instrument.start(string)
            return self.x_of_wire(start) + (before if self.turned else -before)
        return (self.x_of_wire(fret - 1) + self.x_of_wire(fret)) / 2

    def y(self, string: int) -> float:
        """Return the height of a string, counted from 0."""
        order = drawn_strings.drawn_order(
            len(self.instrument.strings), _LAST_ON_TOP, self.reverse_strings
        )
        return self.top + order.index(string) * self.sizes.string

    def points(self, voicing: Voicing) -> list[Point]:
        """Return where the notes of a shape stand, string by string."""
        return [
            (self.x(fret, string), self.y(string))
            for string, fret in enumerate(voicing.frets)
            if fret is not None
        ]

    def cell(self, string: int, fret: int) -> tuple[float, float, float, float]:
        """Return a place's part of the board: left, top, width and height."""
        x, high = self.x(fret, string), self.sizes.string
        half = self.sizes.nut_x - self.sizes.open_x - NUT_MM
        if fret:
            half = abs(self.x_of_wire(fret) - self.x_of_wire(fret - 1)) / 2
        return x - half, self.y(string) - high / 2, 2 * half, high


def all_places(board: Board) -> Iterator[tuple[int, int]]:
    """Yield every place of a board as string (from 0) and fret; a short string has fewer.

    Examples
    --------
    >>> len(list(all_places(Board(Instrument.named("five-string banjo")))))
    60
    """
    for string in range(len(board.instrument.strings)):
        if board.instrument.start(string) < board.frets:
            for fret in range(board.frets + 1):
                if board.instrument.has_fret(string, fret):
                    yield string, fret


def draw_board(canvas: Canvas, board: Board, *, named: bool) -> None:
    """Draw strings, wires, nut, the strings' names and the frets' numbers.

    With ``named``, each string (``line-2``) and each wire (``wire-3``) has an id of its own.
    """
    line = THIN_MM * board.sizes.line
    strings = {s + 1: _string(board, s) for s in range(len(board.instrument.strings))}
    wires = {fret: _wire(board, fret, line / 2) for fret in range(1, board.frets + 1)}
    if named:
        for kind, strokes in (("line", strings), ("wire", {f: [w] for f, w in wires.items()})):
            for number, lines in strokes.items():
                if not lines:
                    continue
                with canvas.group(f"{kind}-{number}", kind):
                    canvas.lines(lines, line)
    else:
        canvas.lines(
            [*(line for lines in strings.values() for line in lines), *wires.values()], line
        )
    _nuts(canvas, board, line / 2)
    _labels(canvas, board)
    _numbers(canvas, board)


def _string(board: Board, string: int) -> list[list[Point]]:
    """Return the lines of a string; none where it starts past the end of what is shown."""
    if board.instrument.start(string) >= board.frets:
        return []
    start = board.x_of_wire(board.instrument.start(string))
    end = board._side(board.width - _END_MM)
    y, scale = board.y(string), board.sizes.string / BOARD_SIZES["plain"].string
    return [
        [(start, y + beside), (end, y + beside)]
        for beside in drawn_strings.strands(board.instrument, string, scale)
    ]


def _down(board: Board, wire: int, reach: float) -> tuple[float, float]:
    """From the first to the last line that lies on a wire, and a reach more."""
    top, bottom = drawn_strings.span(
        y
        for string in drawn_strings.whole_strings(board.instrument, wire)
        for stroke in _string(board, string)
        for _, y in stroke
    )
    return top - reach, bottom + reach


def _wire(board: Board, fret: int, reach: float) -> list[Point]:
    top, bottom = _down(board, fret, reach)
    return [(board.x_of_wire(fret), top), (board.x_of_wire(fret), bottom)]


def _nuts(canvas: Canvas, board: Board, reach: float) -> None:
    thick = NUT_MM * board.sizes.line**0.5
    top, bottom = _down(board, 0, reach)
    nut = board.x_of_wire(0) - (0.0 if board.turned else thick)
    if board.instrument.capo:
        x, over = nut + thick / 2, _CAPO_OVER_MM * board.sizes.line
        canvas.lines([[(x, top - over), (x, bottom + over)]], thick, cap="round")
    else:
        canvas.rectangle(nut, top, thick, bottom - top, "ink")
    for string in range(len(board.instrument.strings)):
        start = board.instrument.start(string)
        if 0 < start < board.frets:
            x = board.x_of_wire(start) - (0.0 if board.turned else thick)
            high = _PEG_MM * board.sizes.line
            canvas.rectangle(x, board.y(string) - high / 2, thick, high, "ink")


def _labels(canvas: Canvas, board: Board) -> None:
    """Set the strings' names, each beyond its open place."""
    sizes = board.sizes
    beyond = sizes.open_x - sizes.label_x
    for string, label in enumerate(board.instrument.printed_labels):
        if board.instrument.start(string) >= board.frets:
            continue
        x = board.x(0, string) + (beyond if board.turned else -beyond)
        canvas.letter(x, board.y(string), label, sizes.label_pt, weight=SEMIBOLD)


def _numbers(canvas: Canvas, board: Board) -> None:
    y = board.top + board.high + board.sizes.number_down
    instrument = board.instrument
    dots = _DOTS["short string" if instrument.starts else instrument.family]
    for fret in range(1, board.frets + 1):
        dotted = (fret + instrument.capo - 1) % 12 + 1 in dots
        weight, colour = (SEMIBOLD, "ink") if dotted else (REGULAR, "soft")
        size = board.sizes.number_pt
        canvas.letter(board.x(fret), y, str(fret), size, weight=weight, colour=colour)
    if instrument.capo:
        said, size = f"capo {instrument.capo}", min(board.sizes.number_pt, LABEL_PT)
        canvas.letter(board.x(0), y, said, size, weight=SEMIBOLD)
