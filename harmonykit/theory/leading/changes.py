"""What one note of a chord makes of it when it moves by a semitone or a whole step.

Every such change of any chord is listed, with its name where the table of qualities has one.  The
four dominants and the four minor sixth chords of a diminished seventh are special cases, and so
are P, L and R of a triad (``theory.kin``).

References
----------
R. Cohn, *Audacious Euphony*, Oxford University Press 2012, ch. 5 and 7.
J. Douthett and P. Steinbach, "Parsimonious Graphs", *Journal of Music Theory* 42/2 (1998).
"""

from __future__ import annotations

from dataclasses import dataclass

from harmonykit.errors import need_whole
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.naming import exact_names
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.spelling import usual_root
from harmonykit.theory.typed import Told


@dataclass(frozen=True, slots=True, repr=False)
class OneNote(Told):
    """One note of a chord moved, and what is left.

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
    >>> change = hk.theory.one_note_changes("Bm7b5", 2)[-1]
    >>> str(change), change.semitones
    ('Bm7♭5 with A to G is G7', -2)
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
        return f"{self.chord.unicode} with {start} to {end} is {named}"


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
    ['Fm', 'Am', 'C', 'Db', 'Em', 'Ab']
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
    names = exact_names(pcs, near=chord)
    spelled = names[0].spell(end) if names else usual_root(end)
    return OneNote(chord, Move(note.at(None), spelled), pcs, names)
