"""Neighbours of a chord: what one moved note makes of it, what a few do, and ways by such steps.

What one note makes that moves by a semitone or a whole step is listed for any chord, with its name
where the table of qualities has one.  The four dominants and the four minor sixth chords of a
diminished seventh are special cases, and so are P, L and R of a triad (``theory.kin``).

On a way each step moves one note by a semitone; all that lies between is a chord with a usual name.
The sum of a chord's pitch classes, modulo 12, is its *zone*.  A step goes to a zone beside it, so
that zones say how many semitones lie between at least.

References
----------
R. Cohn, *Audacious Euphony*, Oxford University Press 2012, ch. 5 (voice-leading zones) and 7.
J. Douthett and P. Steinbach, "Parsimonious Graphs", *Journal of Music Theory* 42/2 (1998): Cube
Dance, Power Towers.

Notebook: 07_set_class_catalogue
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from harmonykit.errors import HarmonyError, need_whole
from harmonykit.theory import naming, spelling, typed
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.diminished import Move
from harmonykit.theory.given import ChordLike, KeyLike, NotesLike, as_chord, as_pitch_classes
from harmonykit.values import dataclass


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
        if (names := naming.exact_names(pcs, key, near=start))
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


@dataclass(frozen=True, slots=True, repr=False)
class OneNote(typed.Told):
    """One note of a chord moved, and the chord that results.

    Parameters
    ----------
    chord : Chord
        Before the change.
    move : Move
        The note that moves, and where to.
    pcs : PcSet
        All that sounds after it.
    names : tuple of Chord
        The chords of the table of qualities that have just these notes, the plainest first.

    Examples
    --------
    >>> change = hk.theory.one_note_changes("C+", 1)[0]
    >>> str(change), change.semitones
    ('C+ with C moved to B is E', -1)
    """

    chord: Chord
    move: Move
    pcs: PcSet
    names: tuple[Chord, ...]

    @property
    def semitones(self) -> int:
        """How far the note moves: -2 to 2, never 0."""
        return self.move.semitones

    def __str__(self) -> str:
        named = " = ".join(name.unicode for name in self.names) or "a chord without a usual name"
        start, end = self.move.start.unicode, self.move.end.unicode
        return f"{self.chord.unicode} with {start} moved to {end} is {named}"


def one_note_changes(
    chord: ChordLike, reach: int = 2, *, named: bool = True
) -> tuple[OneNote, ...]:
    """Return every change of one note of a chord by so many semitones, up or down.

    Parameters
    ----------
    chord : Chord or str
        What sounds counts, with its bass.
    reach : int in 1..2
        How far the note moves at most.
    named : bool
        Whether changes that leave a chord without a name are left out.

    Returns
    -------
    tuple of OneNote
        Semitones before whole steps, falling before rising, then in the order of the tones.

    Raises
    ------
    HarmonyError
        If the symbol cannot be read, or ``reach`` is neither 1 nor 2.

    References
    ----------
    J. Douthett and P. Steinbach, "Parsimonious Graphs", *Journal of Music Theory* 42/2 (1998).

    Examples
    --------
    >>> [str(change.names[0]) for change in hk.theory.one_note_changes("C+", 1)]
    ['E', 'Ab', 'C', 'C#m', 'Fm', 'Am']
    >>> len(hk.theory.one_note_changes("C+", 2, named=False))
    12
    """
    start = as_chord(chord)
    ways = [way for size in range(1, need_whole(reach, "reach", 1, 2) + 1) for way in (-size, size)]
    found = [_change(start, note, way) for way in ways for note in start.notes]
    return tuple(one for one in found if one is not None and (one.names or not named))


def _change(chord: Chord, note: Note, way: int) -> OneNote | None:
    end = (note.pitch_class + way) % 12
    if end in chord.pcs:
        return None
    pcs = chord.pcs - PcSet.of(note.pitch_class) | PcSet.of(end)
    names = naming.exact_names(pcs, near=chord)
    spelled = names[0].spell(end) if names else spelling.usual_root(end)
    return OneNote(chord, Move(note.at(None), spelled), pcs, names)


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
    """Return the shortest paths from a chord to another through chords with a usual name.

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
    [['C', 'Cm', 'Ab'], ['C', 'C+', 'Ab']]
    """
    start, end, limit = as_chord(a), as_chord(b), need_whole(most, "most", 1)
    if len(start.pcs) != len(end.pcs):
        raise HarmonyError(
            f"{start.unicode} has {len(start.pcs)} notes, {end.unicode} has {len(end.pcs)}",
            rule="a path of single steps joins chords with the same number of notes",
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
    return frozenset(near for _, near in by_distance(pcs) if naming.exact_names(near))


def _as_chords(way: tuple[PcSet, ...], start: Chord, end: Chord) -> tuple[Chord, ...]:
    between = [naming.exact_names(pcs, near=start)[0] for pcs in way[1:-1]]
    return (start, *between, end) if len(way) > 1 else (start,)
