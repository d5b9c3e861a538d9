"""Ways from chord to chord, one semitone at a time, and the zones that they pass through.

A step moves one note by a semitone; all that lies between is a chord with a usual name.  The sum of
a chord's pitch classes, modulo 12, is its *zone*.  A step goes to a zone beside it, so that zones
say how many semitones lie between at least.

References
----------
R. Cohn, *Audacious Euphony*, Oxford University Press 2012, ch. 5: voice-leading zones.
J. Douthett and P. Steinbach, "Parsimonious Graphs", *Journal of Music Theory* 42/2 (1998): Cube
Dance, Power Towers.

Notebook: 07_set_class_catalogue
"""

from __future__ import annotations

from functools import lru_cache

from harmonykit.errors import HarmonyError, need_whole
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, NotesLike, as_chord, as_pitch_classes
from harmonykit.theory.leading.neighbours import by_distance
from harmonykit.theory.naming import exact_names
from harmonykit.theory.sets.pcset import PcSet

_LONGEST = 12


def zone(notes: NotesLike) -> int:
    """Return the voice-leading zone of some notes: the sum of their pitch classes modulo 12.

    Parameters
    ----------
    notes : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol; what is listed twice counts twice.

    Returns
    -------
    int in 0..11

    Raises
    ------
    HarmonyError
        If the notes cannot be read.

    References
    ----------
    R. Cohn, *Audacious Euphony*, Oxford UP 2012, ch. 5.

    Examples
    --------
    >>> [hk.theory.zone(chord) for chord in ("C+", "C", "Cm")]
    [0, 11, 10]
    """
    return sum(as_pitch_classes(notes)) % 12


def shortest_paths(a: ChordLike, b: ChordLike, most: int = 4) -> tuple[tuple[Chord, ...], ...]:
    """Return the shortest ways from a chord to another through chords with a usual name.

    Parameters
    ----------
    a, b : Chord or str
        Chords of as many notes.
    most : int
        How many ways are given at most.

    Returns
    -------
    tuple of tuple of Chord
        Each from a to b, both counted; empty where no way of named chords leads there.

    Raises
    ------
    HarmonyError
        If the chords differ in size, or ``most`` is less than 1.

    References
    ----------
    J. Douthett and P. Steinbach, "Parsimonious Graphs", *Journal of Music Theory* 42/2 (1998).

    Examples
    --------
    >>> [[str(chord) for chord in way] for way in hk.theory.shortest_paths("C", "Ab")]
    [['C', 'C+', 'Ab'], ['C', 'Cm', 'Ab']]
    """
    start, end, limit = as_chord(a), as_chord(b), need_whole(most, "most", 1)
    if len(start.pcs) != len(end.pcs):
        raise HarmonyError(
            f"{start.unicode} has {len(start.pcs)} notes, {end.unicode} {len(end.pcs)}",
            rule="a way of single steps leads between chords of as many notes",
            mend='shortest_paths("C7", "Fmaj7")',
        )
    ways = _ways(start.pcs, end.pcs)
    return tuple(_as_chords(way, start, end) for way in ways[:limit])


def _ways(start: PcSet, end: PcSet) -> list[tuple[PcSet, ...]]:
    """Return every shortest way; the first ones pass through the plainest chords."""
    edge: dict[PcSet, list[tuple[PcSet, ...]]] = {start: [(start,)]}
    seen = {start}
    for _ in range(_LONGEST):
        if end in edge:
            return sorted(edge[end], key=lambda way: [tuple(pcs) for pcs in way])
        further: dict[PcSet, list[tuple[PcSet, ...]]] = {}
        for pcs, ways in edge.items():
            for near in _named_beside(pcs) - seen:
                further.setdefault(near, []).extend((*way, near) for way in ways)
        seen |= set(further)
        edge = further
    return []


@lru_cache(maxsize=4096)
def _named_beside(pcs: PcSet) -> frozenset[PcSet]:
    return frozenset(near for _, near in by_distance(pcs) if exact_names(near))


def _as_chords(way: tuple[PcSet, ...], start: Chord, end: Chord) -> tuple[Chord, ...]:
    between = [exact_names(pcs, near=start)[0] for pcs in way[1:-1]]
    return (start, *between, end) if len(way) > 1 else (start,)
