"""Chords measured against one another: a matrix, a map, a mapping, and these as one picture.

The lower triangle of the matrix has the ids ``cell-2-1`` (row, column); a chord is ``name-1`` on
the diagonal and ``place-1`` on the map.

References
----------
W. S. Torgerson, "Multidimensional Scaling: I. Theory and Method", Psychometrika 17 (1952) 401-419.
J. C. Gower, "Some Distance Properties of Latent Root and Vector Methods", Biometrika 53 (1966)
325-338.
"""

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.about.names import count, list_notes
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.tree import Outline, Part, Path, Point, polyline, rounded
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.voiceleading import VoiceLeading, best_voice_leading, distance_matrix
from harmonykit.values import dataclass
from harmonykit.workbook.base.scene import Line, Scene, Spot, joined

WIDE_MM, MAP_MM, CELL_MM = 174.0, 84.0, 9.0
_TOP_MM, _MAP_AT = 6.0, (90.0, 4.0)
_MARGIN_MM, _SCALE_DOWN_MM = 10.0, 7.0
VOICE_MM, VOICES_HIGH_MM, MOST_VOICES = 9.5, 30.0, 12
BOX_MM = (13.0, 6.4)
_CORNER_MM = 0.9


def cell_at(row: int, column: int) -> Point:
    """Return the middle of a cell; a chord's own row and column meet on the diagonal."""
    return (column + 0.5) * CELL_MM, _TOP_MM + row * CELL_MM


def high(chords: int) -> float:
    """Return how high the upper half of the picture is."""
    return max(MAP_MM + 8.0, _TOP_MM + chords * CELL_MM)


@lru_cache(maxsize=16)
def scene_of(chords: int) -> Scene:
    """Return the picture that is drawn once for a number of chords."""
    tall = high(chords) + VOICES_HIGH_MM
    canvas = Canvas(WIDE_MM, tall)
    _grid(canvas, chords)
    return Scene(
        WIDE_MM,
        tall,
        canvas.parts,
        (*_cells(chords), *_places(chords), *_voices(chords), *_words(chords)),
        (Line("path", 0.3, "soft", (0.95, 0.75)), Line("picked", 0.8), Line("scale", 0.6),
         Line("held", 0.25), Line("moving", 0.8)),
        box_marks(),
        "distances between chords: a matrix, a map and a mapping",
    )  # fmt: skip


def _grid(canvas: Canvas, chords: int) -> None:
    lines: list[list[Point]] = []
    half = CELL_MM / 2
    for row in range(1, chords):
        x, y = cell_at(row, 0)
        right = row * CELL_MM
        lines.append([(0.2, y - half), (right, y - half)])
        lines.append([(right, y - half), (right, _TOP_MM + (chords - 0.5) * CELL_MM)])
    if lines:
        bottom = _TOP_MM + (chords - 0.5) * CELL_MM
        lines += [
            [(0.2, bottom), (lines[-1][0][0], bottom)],
            [(0.2, lines[0][0][1]), (0.2, bottom)],
        ]
        canvas.lines(lines, 0.2, colour="hair")


def _cells(chords: int) -> tuple[Spot, ...]:
    cells = tuple(
        Spot(f"cell-{row + 1}-{column + 1}", *cell_at(row, column), point=11.0, across=8.6)
        for row in range(chords)
        for column in range(row)
    )
    names = tuple(
        Spot(f"name-{n + 1}", n * CELL_MM + 1.5, cell_at(n, 0)[1], point=10.5, anchor="start",
             press=False)
        for n in range(chords)
    )  # fmt: skip
    return cells + names


def _places(chords: int) -> tuple[Spot, ...]:
    x, y = _MAP_AT
    wide, tall = BOX_MM
    return tuple(
        Spot(f"place-{n + 1}", x, y, point=10.0, across=wide, tall=tall) for n in range(chords)
    )


def _voices(chords: int) -> tuple[Spot, ...]:
    top = high(chords)
    spots = []
    for voice in range(MOST_VOICES):
        x = voice_x(voice)
        for row, y in (("from", top + 6.0), ("to", top + 24.0)):
            spots.append(Spot(f"{row}-{voice + 1}", x, y, 6.2, 9.0, press=False))
        spots.append(Spot(f"steps-{voice + 1}", x, top + 15.0, point=10.0, press=False))
    return tuple(spots)


def voice_x(voice: int) -> float:
    """Return where a voice stands."""
    return 32.0 + voice * VOICE_MM


def _words(chords: int) -> tuple[Spot, ...]:
    top, (x, y) = high(chords), _MAP_AT
    return (
        Spot("from-name", 2.0, top + 6.0, point=13.0, anchor="start", press=False),
        Spot("to-name", 2.0, top + 24.0, point=13.0, anchor="start", press=False),
        Spot("scale-word", x + 2.0, y + MAP_MM, point=8.5, anchor="start", press=False),
    )


def voice_courses(moves: list[int], chords: int) -> dict[str, Outline]:
    """Return the lines of the voices: thin where one is held, thick where it moves."""
    top = high(chords)
    held: Outline = ()
    moving: Outline = ()
    for voice, move in enumerate(moves):
        x = voice_x(voice)
        if move == 0:
            held += polyline([(x, top + 9.6), (x, top + 20.4)])
        else:
            moving += polyline([(x, top + 9.6), (x, top + 12.4)])
            moving += polyline([(x, top + 17.6), (x, top + 20.2)])
            moving += polyline([(x - 0.9, top + 18.9), (x, top + 20.3), (x + 0.9, top + 18.9)])
    return {"held": held, "moving": moving}


def on_map(points: NDArray[np.float64]) -> tuple[list[Point], float]:
    """Return where chords stand on the map, and how many mm are one semitone."""
    span = float(max(np.ptp(points[:, 0]), np.ptp(points[:, 1]), 1e-9)) if len(points) else 1.0
    room = MAP_MM - 2 * _MARGIN_MM
    scale = min(room / span, 16.0)
    middle = (points.max(axis=0) + points.min(axis=0)) / 2
    placed = (points - middle) * scale
    x, y = _MAP_AT[0] + MAP_MM / 2, _MAP_AT[1] + MAP_MM / 2 - 4.0
    return [(x + float(a), y - float(b)) for a, b in placed], scale


def scale_bar(scale: float) -> Outline:
    """Return the bar that is one semitone long on the map."""
    x, y = _MAP_AT[0] + 2.0, _MAP_AT[1] + MAP_MM - 4.5
    ends = [polyline([(at, y - 1.2), (at, y + 1.2)]) for at in (x, x + scale)]
    return polyline([(x, y), (x + scale, y)]) + joined(ends)


def box_marks() -> dict[str, tuple[Part, ...]]:
    """Return boxes: for a name on the map, solid, open or dashed, and for cells of a matrix."""
    wide, tall = BOX_MM
    return {
        "box": (box(wide, tall, "paper", 0.35),),
        "box-picked": (box(wide, tall, "ink", 0.35),),
        "cell-one": (box(8.0, 8.0, "ink", 0.35),),
        "cell-two": (box(8.0, 8.0, "paper", 0.56),),
        "cell-picked": (box(8.0, 8.0, "", 0.42, (0.85, 0.56)),),
    }


def box(wide: float, tall: float, fill: str, line: float, dash: tuple[float, ...] = ()) -> Path:
    """Return a box about the origin with round corners, in mm; its fill by token, or none."""
    outline = rounded(-wide / 2, -tall / 2, wide, tall, _CORNER_MM)
    return Path(outline, fill, "ink", line, dash)


NORMS = {"1": 1, "2": 2, "inf": math.inf}
NORM_WORDS = {"1": "all semitones", "2": "root of squares", "inf": "largest move"}
FEWEST, MOST = 2, 9
FIRST = ("A7", "C#dim7", "C7", "C6")


@dataclass(frozen=True, slots=True)
class DistanceState:
    """What the panel's controls set.

    Parameters
    ----------
    chords : tuple of str
        Two to nine symbols, in the order of the path.
    norm : {"1", "2", "inf"}
    doubling : bool
        Whether notes may be used several times; always so where sizes differ.
    start, end : int
        The pair that is drawn voice by voice, counted from 1.
    """

    chords: tuple[str, ...] = FIRST
    norm: str = "1"
    doubling: bool = False
    start: int = 1
    end: int = 2

    def __post_init__(self) -> None:
        for symbol in self.chords:
            read_chord(symbol)
        if not FEWEST <= len(self.chords) <= MOST:
            raise HarmonyError(
                f"{count(len(self.chords), 'chord')} given",
                rule=f"{FEWEST} to {MOST} are measured",
                mend=f"{FEWEST} to {MOST} chords, such as {' '.join(FIRST[:3])}",
            )
        if self.norm not in NORMS:
            raise HarmonyError(f"unknown norm {self.norm!r} here", mend=", ".join(NORMS))
        pair = {self.start, self.end}
        if not pair <= set(range(1, len(self.chords) + 1)) or len(pair) < 2:
            raise HarmonyError(f"{self.start} and {self.end} are not two of the chords")


@lru_cache(maxsize=512)
def read_chord(symbol: str) -> Chord:
    """Return the chord of a symbol, read once."""
    return Chord.parse(symbol)


@dataclass(frozen=True, slots=True)
class Distances:
    """What a state comes to.

    Parameters
    ----------
    state : DistanceState
    chords : tuple of Chord
    rows : tuple of tuple of float
        The matrix, in semitones.
    places : tuple of (float, float)
        On the map, in semitones.
    misfit : float
        The root of the mean square by which distances on the map miss those of the matrix.
    leading : VoiceLeading
        Of the pair.
    """

    state: DistanceState
    chords: tuple[Chord, ...]
    rows: tuple[tuple[float, ...], ...]
    places: tuple[tuple[float, float], ...]
    misfit: float
    leading: VoiceLeading

    @property
    def pair(self) -> tuple[Chord, Chord]:
        """The two chords that are drawn voice by voice."""
        return self.chords[self.state.start - 1], self.chords[self.state.end - 1]

    @property
    def path_length(self) -> float:
        """The distances from each chord to the next, added up."""
        return sum(self.rows[a][a + 1] for a in range(len(self.rows) - 1))

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        one, other = self.pair
        held = self.leading.common_tones
        ways = f", {self.leading.ties} equally good ways" if self.leading.ties > 1 else ""
        common = list_notes(held, one) if held else "no note"
        verb = "stays" if len(held) < 2 else "stay"
        double = ", notes doubled" if self.leading.doubling else ""
        return (
            f"{one.unicode} to {other.unicode}: {figure(self.leading.total)} "
            f"({NORM_WORDS[self.state.norm]}{double}){ways}; {common} {verb}; the path through "
            f"{count(len(self.chords), 'chord')} is {figure(self.path_length)} semitones long; "
            f"misfit of the map {self.misfit:.2f}"
        )


def compute(state: DistanceState) -> Distances:
    """Return what a state comes to.

    Examples
    --------
    >>> result = compute(DistanceState())
    >>> result.rows[0], round(result.misfit, 2)
    ((0, 1, 2, 1), 0.34)
    """
    chords = tuple(read_chord(symbol) for symbol in state.chords)
    doubling = state.doubling or len({len(chord.pcs) for chord in chords}) > 1
    rows, places, misfit = _measured(chords, state.norm, doubling=doubling)
    one, other = chords[state.start - 1], chords[state.end - 1]
    leading = best_voice_leading(one, other, NORMS[state.norm], doubling=doubling)
    return Distances(state, chords, rows, places, misfit, leading)


@lru_cache(maxsize=64)
def _measured(
    chords: tuple[Chord, ...], norm: str, *, doubling: bool
) -> tuple[tuple[tuple[float, ...], ...], tuple[tuple[float, float], ...], float]:
    """Return matrix, map and misfit: picking another pair leaves them as they are."""
    matrix = distance_matrix(chords, NORMS[norm], doubling=doubling)
    places, misfit = scaled(matrix)
    return tuple(tuple(row) for row in matrix.tolist()), places, misfit


def scaled(distances: NDArray[np.float64]) -> tuple[tuple[tuple[float, float], ...], float]:
    """Return places in a plane that keep distances as well as they can, and the misfit.

    Classical scaling: squares centred by rows and columns, the two largest latent roots.  Each
    axis is turned so that the first chord that is off it lies on its positive side.

    Examples
    --------
    >>> scaled(np.array([[0.0, 2.0], [2.0, 0.0]]))
    (((1.0, 0.0), (-1.0, 0.0)), 0.0)
    """
    squares = np.asarray(distances, dtype=float) ** 2
    size = len(squares)
    centring = np.eye(size) - 1 / size
    roots, vectors = np.linalg.eigh(-0.5 * centring @ squares @ centring)
    largest = np.argsort(roots)[::-1][:2]
    points = vectors[:, largest] * np.sqrt(np.maximum(roots[largest], 0))
    points = np.round(points, 9)
    for axis in range(points.shape[1]):
        off = points[np.abs(points[:, axis]) > 1e-6, axis]
        points[:, axis] *= -1 if len(off) and off[0] < 0 else 1
    points = points + 0.0
    apart = np.hypot(*(points[:, None] - points[None, :]).transpose(2, 0, 1))
    pairs = np.triu_indices(size, 1)
    misfit = float(np.sqrt(np.mean((apart - np.sqrt(squares))[pairs] ** 2)))
    return tuple((float(x), float(y)) for x, y in points), round(misfit, 9)


def figure(value: float) -> str:
    """Return a distance as printed: whole, or with one decimal.

    Examples
    --------
    >>> figure(3), figure(2.449)
    ('3', '2.4')
    """
    return f"{value:.1f}".removesuffix(".0")
