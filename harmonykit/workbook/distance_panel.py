"""Distances: how far chords lie from one another, as a matrix, a map, and a mapping of voices.

The map is made by classical scaling (principal coordinates): the two dimensions in which the
distances are kept best; what they do not keep is printed as the misfit.  The chords in their order
are a path.  One pair is drawn voice by voice.

Three layers: :func:`compute` is a pure function of the state, :func:`draw` a pure drawing of its
result, and :class:`DistancePanel` a thin view.

References
----------
W. S. Torgerson, "Multidimensional Scaling: I. Theory and Method", Psychometrika 17 (1952) 401-419.
J. C. Gower, "Some Distance Properties of Latent Root and Vector Methods", Biometrika 53 (1966)
325-338.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from harmonykit.errors import HarmonyError
from harmonykit.show.style import Drawing
from harmonykit.theory.chord import Chord
from harmonykit.theory.pcset import PcSet
from harmonykit.theory.voiceleading import VoiceLeading, best_voice_leading, distance_matrix
from harmonykit.workbook.distance_scene import (
    MOST_VOICES,
    on_map,
    scale_bar,
    scene_of,
    voice_courses,
)
from harmonykit.workbook.names import count, list_notes, note_of
from harmonykit.workbook.panel import Choice, Control, Panel, Value, changed
from harmonykit.workbook.scene import Look, Scene, Shown, path
from harmonykit.workbook.sounds import Pitches, close_pitches

NORMS = {"1": 1, "2": 2, "inf": math.inf}
NORM_WORDS = {"1": "all semitones", "2": "root of squares", "inf": "largest move"}
FEWEST, MOST = 2, 9
_CLEAR_MM = (13.6, 7.0)
_FIRST = ("A7", "C#dim7", "C7", "C6")


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

    chords: tuple[str, ...] = _FIRST
    norm: str = "1"
    doubling: bool = False
    start: int = 1
    end: int = 2

    def __post_init__(self) -> None:
        if not FEWEST <= len(self.chords) <= MOST:
            raise HarmonyError(
                f"{count(len(self.chords), 'chord')} to measure", rule=f"{FEWEST} to {MOST}"
            )
        if self.norm not in NORMS:
            raise HarmonyError(f"there is no norm {self.norm!r} here", mend=", ".join(NORMS))
        pair = {self.start, self.end}
        if not pair <= set(range(1, len(self.chords) + 1)) or len(pair) < 2:
            raise HarmonyError(f"{self.start} and {self.end} are no pair of the chords")
        for symbol in self.chords:
            _read(symbol)


@lru_cache(maxsize=512)
def _read(symbol: str) -> Chord:
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
            f"{count(len(self.chords), 'chord')} is {figure(self.path_length)} long; "
            f"the map misses by {self.misfit:.2f}"
        )


def compute(state: DistanceState) -> Distances:
    """Return what a state comes to.

    Examples
    --------
    >>> result = compute(DistanceState())
    >>> result.rows[0], round(result.misfit, 2)
    ((0, 1, 2, 1), 0.34)
    """
    chords = tuple(_read(symbol) for symbol in state.chords)
    doubling = state.doubling or len({len(chord.pcs) for chord in chords}) > 1
    rows, places, misfit = _measured(chords, state.norm, doubling)
    one, other = chords[state.start - 1], chords[state.end - 1]
    leading = best_voice_leading(one, other, NORMS[state.norm], doubling)
    return Distances(state, chords, rows, places, misfit, leading)


@lru_cache(maxsize=64)
def _measured(
    chords: tuple[Chord, ...], norm: str, doubling: bool
) -> tuple[tuple[tuple[float, ...], ...], tuple[tuple[float, float], ...], float]:
    """Return matrix, map and misfit: picking another pair leaves them as they are."""
    matrix = distance_matrix(chords, NORMS[norm], doubling)
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


def scene(chords: int) -> Scene:
    """Return the picture that is drawn once for a number of chords."""
    return scene_of(chords)


def figure(value: float) -> str:
    """Return a distance as printed: whole, or with one decimal.

    Examples
    --------
    >>> figure(3), figure(2.449)
    ('3', '2.4')
    """
    return f"{value:.1f}".removesuffix(".0")


def show(result: Distances) -> Shown:
    """Return how the parts of the picture look."""
    places, scale = on_map(np.array(result.places))
    state, size = result.state, len(result.chords)
    looks = _matrix(result) | _map(result, places) | _mapping(result)
    misfit = f"1 semitone; the map misses by {result.misfit:.2f} (root mean square)"
    looks["scale-word"] = Look("off", misfit)
    moves = [move.displacement for move in result.leading.moves[:MOST_VOICES]]
    courses = voice_courses(moves, size) | {
        "path": "".join(path(pair) for pair in pairwise(places)),
        "picked": path([places[state.start - 1], places[state.end - 1]]),
        "scale": scale_bar(scale),
    }
    return Shown(looks, courses, result.facts)


def _matrix(result: Distances) -> dict[str, Look]:
    seen, pair = {}, {result.state.start - 1, result.state.end - 1}
    for row, chord in enumerate(result.chords):
        seen[f"name-{row + 1}"] = Look("none", chord.unicode)
        for column in range(row):
            value = result.rows[row][column]
            on = {row, column} == pair
            said = f"{result.chords[column].unicode} to {chord.unicode}, {figure(value)}"
            plain = "cell-picked" if on else "cell"
            role = "cell-one" if value == 1 else "cell-two" if value == 2 else plain
            seen[f"cell-{row + 1}-{column + 1}"] = Look(role, figure(value), said, on)
    return seen


def _map(result: Distances, places: list[tuple[float, float]]) -> dict[str, Look]:
    """Return the chords on the map; where two would touch, the later one stands lower."""
    seen: dict[str, Look] = {}
    for n, (chord, place) in enumerate(zip(result.chords, places, strict=True)):
        x, y = place
        taken = [look.at for look in seen.values()]
        while any(abs(a - x) < _CLEAR_MM[0] and abs(b - y) < _CLEAR_MM[1] - 0.1 for a, b in taken):
            y += _CLEAR_MM[1] / 4
        on = n + 1 in (result.state.start, result.state.end)
        role = "box-picked" if on else "box"
        said = f"{chord.unicode} on the map"
        seen[f"place-{n + 1}"] = Look(role, chord.unicode, said, on, (x, y))
    return seen


def _mapping(result: Distances) -> dict[str, Look]:
    one, other = result.pair
    seen = {"from-name": Look("none", one.unicode), "to-name": Look("none", other.unicode)}
    for voice, (start, end, step) in enumerate(result.leading.moves[:MOST_VOICES]):
        seen[f"from-{voice + 1}"] = Look("note", note_of(start, one).unicode)
        seen[f"to-{voice + 1}"] = Look("note", note_of(end, other).unicode)
        sign = "+" if step > 0 else "−"
        seen[f"steps-{voice + 1}"] = Look("none", f"{sign}{abs(step)}" if step else "")
    return seen


def draw(result: Distances) -> Drawing:
    """Draw a result as a still picture."""
    return scene(len(result.chords)).still(show(result))


class DistancePanel(Panel[DistanceState]):
    """How far chords lie apart: type them, pick a pair, choose how moves are counted.

    Parameters
    ----------
    chords : iterable of Chord or str, or str
        Two to nine; one text has them separated by spaces.
    norm : 1, 2 or math.inf
    doubling : bool

    Examples
    --------
    >>> panel = DistancePanel("C G7")
    >>> print(panel.facts.split(";")[0])
    C to G7: 4 (all semitones, notes doubled), 2 equally good ways
    >>> panel.set("chords", "C Am F G")
    >>> panel.press("place-3")
    >>> panel.state.start, panel.state.end
    (2, 3)
    """

    kind: ClassVar[str] = "distance"
    title: ClassVar[str] = "distances between chords"

    def __init__(
        self,
        chords: Iterable[Chord | str] | str = _FIRST,
        norm: float = 1,
        doubling: bool = False,
    ) -> None:
        given = chords.split() if isinstance(chords, str) else chords
        symbols = tuple(each if isinstance(each, str) else each.symbol for each in given)
        word = next((word for word, value in NORMS.items() if value == norm), str(norm))
        super().__init__(DistanceState(symbols, word, doubling))

    @classmethod
    def _blank(cls) -> DistanceState:
        return DistanceState()

    def _scene(self, state: DistanceState) -> Scene:
        return scene(len(state.chords))

    def _shown(self, state: DistanceState) -> Shown:
        return show(compute(state))

    def _controls(self, state: DistanceState) -> tuple[Control, ...]:
        words = tuple(NORM_WORDS.values())
        return (
            Control("chords", "text", "chords", " ".join(state.chords)),
            Control("norm", "choice", "count", NORM_WORDS[state.norm], words),
            Control("doubling", "check", "notes may double", state.doubling),
            Control("next", "button", "Next change"),
        )

    def _after_press(self, state: DistanceState, part: str) -> DistanceState:
        kind, *numbers = part.split("-")
        if kind == "cell":
            end, start = map(int, numbers)
            return changed(state, start=start, end=end)
        picked = int(numbers[0])
        if picked == state.end:
            return changed(state, start=state.end, end=state.start)
        return changed(state, start=state.end, end=picked)

    def _after_set(self, state: DistanceState, control: str, value: Value) -> DistanceState:
        if control == "chords":
            symbols = tuple(str(value).replace(",", " ").split())
            return changed(state, chords=symbols, start=1, end=2)
        if control == "norm":
            word = next(norm for norm, word in NORM_WORDS.items() if word == value)
            return changed(state, norm=word)
        if control == "doubling":
            return changed(state, doubling=bool(value))
        start = state.end if state.end < len(state.chords) and state.start < state.end else 1
        return changed(state, start=start, end=start + 1)

    def _chords(self, state: DistanceState) -> tuple[Pitches, ...]:
        result = compute(state)
        lower = close_pitches([move.start for move in result.leading.moves])
        # The voices as they move, and each pitch once.
        upper = [p + move.displacement for p, move in zip(lower, result.leading.moves, strict=True)]
        return tuple(sorted(set(lower))), tuple(sorted(set(upper)))

    def _choice(self, state: DistanceState) -> Choice:
        chord = compute(state).pair[1]
        return Choice(chord.pcs, chord)

    def _after_choice(self, state: DistanceState, choice: Choice) -> DistanceState:
        found = [n for n, symbol in enumerate(state.chords, 1) if _pcs(symbol) == choice.notes]
        if not found or found[0] == state.end:
            return state
        return changed(state, start=state.end, end=found[0])


def _pcs(symbol: str) -> PcSet:
    return _read(symbol).pcs
