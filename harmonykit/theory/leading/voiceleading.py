"""Voice leading: how little the voices need to move from one chord to the next.

Conventions.  A voice leads from one pitch class to another by its displacement in semitones, -5 to
6: the shorter way round the octave, and 6 for a tritone, which is as near by either way.  A voice
leading is measured by the sum of the semitones moved (norm 1), by the root of the sum of their
squares (norm 2), or by the largest move (norm ``math.inf``).  Chords of one size are matched note
against note; where the sizes differ, or where ``doubling`` is asked for, every note of both chords
is used at least once and any may be used several times.

A chord is a symbol (``"Cmaj7"``), a ``Chord``, a ``PcSet``, anything with one as ``.pcs``, or a
list of pitch classes or note names, in which a note that stands twice counts twice.

Why this is exact.  For a given matching each voice takes its shorter way, since octaves of
different voices are independent.  Where two voices cross, exchanging their ends makes no measure
larger and the sum of squares less, so some best voice leading crosses nowhere.  Those of equal
size are the rotations of one chord against the other; those with doubling are closed staircases,
on which each step advances one chord, the other, or both by one note.

References
----------
Dmitri Tymoczko, "The Geometry of Musical Chords", *Science* 313 (2006) 72-74, and its supporting
material.

Notebook: 04_voice_leading_distances
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

from harmonykit.errors import HarmonyError, need_flag, need_several, need_whole
from harmonykit.theory.given import NotesLike, as_pitch_classes
from harmonykit.theory.leading import matching
from harmonykit.theory.leading.staircase import Notes
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.values import dataclass

if TYPE_CHECKING:
    from numpy.typing import NDArray


class Move(NamedTuple):
    """One voice: from a pitch class to a pitch class, and the semitones between, -5 to 6.

    Examples
    --------
    >>> start, end, displacement = Move(11, 0, 1)
    """

    start: int
    end: int
    displacement: int


@dataclass(frozen=True, slots=True)
class VoiceLeading:
    """A best way from one chord to another.

    Parameters
    ----------
    start, end : tuple of int
        The pitch classes of the two chords, sorted.
    moves : tuple of Move
        One a voice, sorted by the note that it leaves.
    norm : 1, 2 or math.inf
    doubling : bool
        Whether notes could be used several times.

    Examples
    --------
    >>> leading = hk.best_voice_leading(hk.PcSet.of(2, 5, 7, 11), hk.PcSet.of(0, 4, 7, 11))
    >>> [tuple(move) for move in leading.moves], leading.total, leading.ties
    ([(2, 0, -2), (5, 4, -1), (7, 7, 0), (11, 11, 0)], 3, 1)
    """

    start: Notes
    end: Notes
    moves: tuple[Move, ...]
    norm: float = 1
    doubling: bool = False

    @property
    def total(self) -> float:
        """The measure: semitones in all, the root of the sum of squares, or the largest move.

        Examples
        --------
        >>> import math
        >>> [hk.best_voice_leading((0, 4, 7), (0, 5, 9), norm).total for norm in (1, math.inf)]
        [3, 2]
        """
        sizes = [abs(move.displacement) for move in self.moves]
        if self.norm == 2:
            return math.sqrt(sum(size * size for size in sizes))
        return sum(sizes) if self.norm == 1 else max(sizes, default=0)

    @property
    def ties(self) -> int:
        """How many voice leadings are as good by this norm, this one included.

        Examples
        --------
        From C major to F# major, up by 1, 2 and 3 semitones or down by as many:

        >>> hk.best_voice_leading(hk.PcSet.of(0, 4, 7), hk.PcSet.of(1, 6, 10)).ties
        2
        """
        return _ties(self.start, self.end, self.norm, doubling=self.doubling)

    @property
    def common_tones(self) -> PcSet:
        """The notes that a voice holds.

        Examples
        --------
        >>> hk.best_voice_leading((2, 5, 7, 11), (1, 5, 8, 11)).common_tones  # G7 and D flat 7
        PcSet.of(5, 11)
        """
        return PcSet.of(*(move.start for move in self.moves if not move.displacement))

    @property
    def moving(self) -> tuple[Move, ...]:
        """The voices that move.

        Examples
        --------
        >>> hk.best_voice_leading((0, 3, 6, 9), (0, 2, 6, 9)).moving
        (Move(start=3, end=2, displacement=-1),)
        """
        return tuple(move for move in self.moves if move.displacement)


def displacement(start: int, end: int) -> int:
    """Return the semitones of the shorter way between two pitch classes, -5 to 6.

    Parameters
    ----------
    start : int
        Pitch class, 0 to 11.
    end : int
        Pitch class, 0 to 11.

    Returns
    -------
    int
        Semitones: 6 for a tritone, else -5 to 5.

    Raises
    ------
    HarmonyError
        For what is not a pitch class.

    Examples
    --------
    >>> hk.displacement(11, 0), hk.displacement(0, 11), hk.displacement(0, 6), hk.displacement(6, 0)
    (1, -1, 6, 6)
    """
    return _shorter_way(need_whole(start, "start", 0, 11), need_whole(end, "end", 0, 11))


def _shorter_way(start: int, end: int) -> int:
    return (end - start + 5) % 12 - 5


def distance(a: NotesLike, b: NotesLike, norm: float = 1, *, doubling: bool = False) -> float:
    """Return the least voice-leading distance between two chords.

    Parameters
    ----------
    a, b : str, Chord, PcSet, anything with ``.pcs``, or iterable of int, Note or str
        A symbol, a chord, a set or its notes.
    norm : 1, 2 or math.inf
    doubling : bool
        Let every note be used several times; always so where the sizes differ.

    Returns
    -------
    int or float
        Semitones; a float for norm 2 alone.

    Raises
    ------
    HarmonyError
        For another norm, or where one of the chords has no notes and the other has.

    References
    ----------
    D. Tymoczko, "The Geometry of Musical Chords", *Science* 313 (2006) 72-74.

    Examples
    --------
    >>> hk.distance("C7", "F6"), hk.distance(hk.PcSet.of(0, 3, 6, 9), hk.PcSet.of(11, 3, 6, 9))
    (5, 1)
    >>> hk.distance(hk.PcSet.of(0, 7, 11), hk.PcSet.of(6, 7, 11), doubling=True)
    2
    """
    one, other, norm, doubling = _asked(a, b, norm, doubling=doubling)
    least = _least(one, other, norm, doubling=doubling)
    return math.sqrt(least) if norm == 2 else least


def best_voice_leading(
    a: NotesLike, b: NotesLike, norm: float = 1, *, doubling: bool = False
) -> VoiceLeading:
    """Return a voice leading of the least distance, with the parameters of ``distance``.

    Where several are as good, it is one in which no voices cross and leaps are small: the least
    sum of squares for norms 1 and infinity, the fewest semitones for norm 2.

    Parameters
    ----------
    a, b : str, Chord, PcSet, anything with ``.pcs``, or iterable of int, Note or str
        A symbol, a chord, a set or its notes.
    norm : 1, 2 or math.inf, optional
        Sum of semitones, length of the vector, or the longest way of one voice.
    doubling : bool, optional
        Let every note be used several times; always so where the sizes differ.

    Returns
    -------
    VoiceLeading

    References
    ----------
    D. Tymoczko, "The Geometry of Musical Chords", *Science* 313 (2006) 72-74.

    Examples
    --------
    >>> to_g7 = hk.best_voice_leading(hk.PcSet.of(0, 4, 7), hk.PcSet.of(2, 5, 7, 11))
    >>> [tuple(move) for move in to_g7.moves]
    [(0, 2, 2), (0, 11, -1), (4, 5, 1), (7, 7, 0)]
    """
    one, other, norm, doubling = _asked(a, b, norm, doubling=doubling)
    return _best(one, other, norm, doubling=doubling)


def best_voice_leadings(
    a: NotesLike, b: NotesLike, norm: float = 1, *, doubling: bool = False, most: int = 10_000
) -> tuple[VoiceLeading, ...]:
    """Return all voice leadings of the least distance, those with small leaps first.

    With doubling these are the ones in which no voice could be left out.

    Parameters
    ----------
    a, b : str, Chord, PcSet, anything with ``.pcs``, or iterable of int, Note or str
        A symbol, a chord, a set or its notes.
    norm : 1, 2 or math.inf, optional
        As for ``best_voice_leading``.
    doubling : bool, optional
        Let every note be used several times; always so where the sizes differ.
    most : int, optional
        The largest number that is returned.

    Returns
    -------
    tuple of VoiceLeading

    Raises
    ------
    HarmonyError
        If there are more than ``most``.

    Examples
    --------
    >>> two = hk.best_voice_leadings("C", "D")
    >>> [[move.displacement for move in leading.moves] for leading in two]
    [[2, 2, 2], [-3, -2, -1]]
    """
    one, other, norm, doubling = _asked(a, b, norm, doubling=doubling)
    ties = _ties(one, other, norm, doubling=doubling)
    if ties > need_whole(most, "most", 1):
        raise HarmonyError(
            f"{ties} voice leadings are equally good",
            rule=f"at most {most} are listed",
            mend="norm 2, which has few ties, or a larger `most`",
        )
    found = {
        _moves(one, other, pairs) for pairs in matching.every(one, other, norm, doubling=doubling)
    }
    return tuple(VoiceLeading(one, other, moves, norm, doubling) for moves in _by_leaps(found))


def distance_matrix(
    chords: Iterable[NotesLike] | str,
    norm: float = 1,
    *,
    doubling: bool = False,
    others: Iterable[NotesLike] | str | None = None,
) -> NDArray[Any]:
    """Return the distances between all pairs of chords, or from each of them to each of others.

    Parameters
    ----------
    chords : str, or iterable of what ``distance`` takes
        ``"C7 F6 Am7"`` is a list of three.
    norm : 1, 2 or math.inf
        As for ``distance``.
    doubling : bool
        As for ``distance``.
    others : iterable, optional
        The chords of the columns; the same ones if left out.

    Returns
    -------
    array of shape (chords, others)
        Semitones; whole numbers, but for norm 2.

    Raises
    ------
    HarmonyError
        For another norm, or where one chord has no notes and another has.

    References
    ----------
    D. Tymoczko, "The Geometry of Musical Chords", *Science* 313 (2006) 72-74.

    Examples
    --------
    >>> hk.distance_matrix(["C", "C+", "Cdim7"]).tolist()
    [[0, 1, 4], [1, 0, 4], [4, 4, 0]]
    """
    from harmonykit.theory.leading.matrix import least_all

    need_flag(doubling, "doubling")
    rows = _listed(chords)
    columns = rows if others is None else _listed(others)
    if len({bool(chord) for chord in rows + columns}) > 1:
        raise HarmonyError("a chord without notes has no voice leading")
    least = least_all(rows, columns, _checked(norm), doubling=doubling)
    return least**0.5 if norm == 2 else least


def _asked(
    a: NotesLike, b: NotesLike, norm: float, *, doubling: bool
) -> tuple[Notes, Notes, float, bool]:
    """Return what is asked in the one form that the caches know, or say what is wrong with it."""
    one, other = notes(a), notes(b)
    if bool(one) != bool(other):
        raise HarmonyError("a chord without notes has no voice leading")
    return one, other, _checked(norm), need_flag(doubling, "doubling") or len(one) != len(other)


def _listed(chords: Iterable[NotesLike] | str) -> list[Notes]:
    """Return the notes of each of several chords; one text may name them all."""
    if isinstance(chords, str):
        chords = chords.replace(",", " ").split()
    several = need_several(chords, "a list of chords", '["C7", "F6"]')
    return [notes(chord) for chord in several]


def _checked(norm: float) -> float:
    if not isinstance(norm, int | float) or norm not in (1, 2, math.inf):
        raise HarmonyError(
            f"{norm!r} is not a known norm",
            rule="1 sums semitones, 2 sums squares and takes the root, math.inf takes the largest",
        )
    return norm


def notes(chord: NotesLike) -> Notes:
    """Return the pitch classes of a chord, sorted; in a tuple or list a note may stand twice.

    Raises
    ------
    HarmonyError
        If it is no chord.

    Examples
    --------
    >>> notes(PcSet.of(7, 0, 4)), notes([67, 60, 64, 72])
    ((0, 4, 7), (0, 0, 4, 7))
    """
    return tuple(chord) if isinstance(chord, PcSet) else tuple(sorted(as_pitch_classes(chord)))


_least = lru_cache(maxsize=1 << 16)(matching.least)
_ties = lru_cache(maxsize=1 << 12)(matching.count)


@lru_cache(maxsize=1 << 12)
def _best(a: Notes, b: Notes, norm: float, *, doubling: bool) -> VoiceLeading:
    moves = _moves(a, b, matching.smoothest(a, b, norm, doubling=doubling))
    return VoiceLeading(a, b, moves, norm, doubling)


def _moves(a: Notes, b: Notes, pairs: Iterable[tuple[int, int]]) -> tuple[Move, ...]:
    return tuple(sorted(Move(a[i], b[j], _shorter_way(a[i], b[j])) for i, j in pairs))


def _by_leaps(leadings: Iterable[tuple[Move, ...]]) -> list[tuple[Move, ...]]:
    def leaps(moves: tuple[Move, ...]) -> tuple[int, int, tuple[Move, ...]]:
        sizes = [abs(move.displacement) for move in moves]
        return sum(size * size for size in sizes), sum(sizes), moves

    return sorted(leadings, key=leaps)
