"""Chords measured against one another: a matrix, a map by classical scaling, a mapping.

The pure part of the distance panel: its state, and what the state comes to.

References
----------
W. S. Torgerson, "Multidimensional Scaling: I. Theory and Method", Psychometrika 17 (1952) 401-419.
J. C. Gower, "Some Distance Properties of Latent Root and Vector Methods", Biometrika 53 (1966)
325-338.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.about.names import count, list_notes
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.voiceleading import VoiceLeading, best_voice_leading, distance_matrix

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
        if not FEWEST <= len(self.chords) <= MOST:
            raise HarmonyError(
                f"{count(len(self.chords), 'chord')} to measure", rule=f"{FEWEST} to {MOST}"
            )
        if self.norm not in NORMS:
            raise HarmonyError(f"unknown norm {self.norm!r} here", mend=", ".join(NORMS))
        pair = {self.start, self.end}
        if not pair <= set(range(1, len(self.chords) + 1)) or len(pair) < 2:
            raise HarmonyError(f"{self.start} and {self.end} are not two of the chords")
        for symbol in self.chords:
            read_chord(symbol)


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
