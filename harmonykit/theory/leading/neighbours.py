"""Neighbours: the chords that a few semitones make of a chord, moved one note at a time."""

from __future__ import annotations

from collections.abc import Iterator

from harmonykit.errors import need_whole
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, KeyLike, as_chord
from harmonykit.theory.naming import exact_names
from harmonykit.theory.sets.pcset import PcSet


def neighbours(chord: ChordLike, moves: int = 1, key: KeyLike | None = None) -> tuple[Chord, ...]:
    """Return the chords that differ from a chord by one note moved a semitone, or by more moves.

    Parameters
    ----------
    chord : Chord or str
        What sounds counts, with its bass.
    moves : int
        Semitones at most, 1 or more, counted over all notes together.
    key : Key or str, optional
        The key that names the roots; otherwise notes in common keep their names.

    Returns
    -------
    tuple of Chord
        In root position, the nearest first, then by root upward from the chord's.  Notes that
        have several names come once, under the plainest (Am7, not C6); those that have none
        stand in ``by_distance`` alone.

    Raises
    ------
    HarmonyError
        If symbol or key cannot be read, or ``moves`` is less than 1.

    Notes
    -----
    A diminished seventh has the four dominants and four half-diminished sevenths, an augmented
    triad three major and three minor triads (Cohn 2012).

    References
    ----------
    J. Douthett and P. Steinbach, "Parsimonious Graphs", *Journal of Music Theory* 42/2
    (1998).

    Examples
    --------
    >>> [str(near) for near in hk.neighbours("C+")]
    ['C', 'C#m', 'E', 'Fm', 'Ab', 'Am']
    >>> [str(near) for near in hk.neighbours("F#dim7") if near.is_dominant]
    ['Ab7', 'B7', 'D7', 'F7']
    """
    start = as_chord(chord)
    near = [
        (distance, (names[0].root.pitch_class - start.root.pitch_class) % 12, names[0])
        for distance, pcs in by_distance(start.pcs, moves)
        if (names := exact_names(pcs, key, near=start))
    ]
    return tuple(name for _, _, name in sorted(near, key=lambda each: each[:2]))


def by_distance(notes: PcSet, moves: int = 1) -> Iterator[tuple[int, PcSet]]:
    """Yield the sets of as many notes within so many semitones, each with its distance.

    The nearest come first, else in order of their notes; no two voices meet on the way.

    Raises
    ------
    HarmonyError
        If ``moves`` is less than 1.

    Examples
    --------
    >>> next(by_distance(PcSet.of(0, 4, 8)))
    (1, PcSet.of(0, 3, 8))
    """
    need_whole(moves, "moves", 1)
    edge, seen = {notes}, {notes}
    for distance in range(1, moves + 1):
        edge = {near for pcs in edge for near in _semitone_away(pcs)} - seen
        if not edge:
            return
        seen |= edge
        yield from ((distance, pcs) for pcs in sorted(edge, key=tuple))


def _semitone_away(pcs: PcSet) -> Iterator[PcSet]:
    for note in pcs:
        for moved in ((note - 1) % 12, (note + 1) % 12):
            if moved not in pcs:
                yield PcSet(pcs.mask ^ 1 << note ^ 1 << moved)
