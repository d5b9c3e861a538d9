"""Names chosen late: by what a chord does, or for easy reading.

*By use*: a diminished seventh that rises takes the letter below its target, one that falls the
letter above, a common-tone one keeps the root of the chord that it decorates; before a slash chord
the bass is the target.  *Easy reading*: at most one accidental a note, whatever the chord does.
The pitches are the same either way; where one sheet has two names for the same notes, it is said
(``double_names``).
"""

from collections.abc import Iterable
from typing import Literal

from harmonykit.errors import HarmonyError, need_one_of
from harmonykit.theory.chord import Chord, Interval, Note
from harmonykit.theory.given import ChordLike, as_chord

Policy = Literal["use", "easy"]
SIDES = {"below": "-m2", "above": "m2", "same": "P1"}
_USUAL_ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def usual_root(pitch_class: int) -> Note:
    """Return the name that charts give a root (common practice, no source).

    Examples
    --------
    >>> usual_root(6).name, usual_root(10).name
    ('F#', 'Bb')
    """
    return Note.parse(_USUAL_ROOTS[pitch_class % 12])


def chart_name(note: Note) -> Note:
    """Return a root as charts write it: no double sign, nor F flat, C flat, E sharp, B sharp.

    Common practice, no source.

    Examples
    --------
    >>> [chart_name(Note.parse(name)).name for name in ("Abb", "Fb", "B#", "Gb", "D#")]
    ['G', 'E', 'C', 'Gb', 'D#']
    """
    natural = usual_root(note.pitch_class)
    return note.plain() if natural.accidental else natural


def side_of(chord: Chord, target: Chord) -> str:
    """Return how a diminished seventh stands to the chord after it.

    Returns
    -------
    {"below", "above", "same"}
        A tone a semitone below the target's bass, else a semitone above it, else on its root.  Of
        the three diminished sevenths each stands in one of these ways to a given root; over
        another bass the first that fits counts.

    Raises
    ------
    HarmonyError
        If the chord is no diminished seventh.

    Examples
    --------
    >>> [side_of(Chord.parse(name), Chord.parse("C")) for name in ("Ddim7", "Edim7", "Adim7")]
    ['below', 'above', 'same']
    """
    need_diminished(chord)
    return _side_and_root(chord, target)[0]


def _side_and_root(chord: Chord, target: Chord) -> tuple[str, Note]:
    ways = [(side, beside(target.bass, side)) for side in ("below", "above")]
    ways += [("same", target.root)]
    ways += [(side, beside(target.root, side)) for side in ("below", "above")]
    return next((side, root) for side, root in ways if root.pitch_class in chord.pcs)


def name_by_use(chord: Chord, target: Chord) -> Chord:
    """Return a diminished seventh named by where it goes.

    Examples
    --------
    >>> name_by_use(Chord.parse("Adim7"), Chord.parse("Em")).symbol
    'D#dim7'
    >>> name_by_use(Chord.parse("Adim7"), Chord.parse("Dm7")).symbol
    'Ebdim7'
    >>> name_by_use(Chord.parse("Adim7"), Chord.parse("C")).symbol
    'Cdim7'
    """
    need_diminished(chord)
    return Chord.of(_side_and_root(chord, target)[1], "dim7")


def beside(note: Note, side: str) -> Note:
    """Return the root of the diminished seventh on one side of a note, spelled by its direction.

    One that falls is named plainly where it would have a double flat: A above A flat.  One that
    rises keeps its letter, F double sharp below G sharp: it is a leading tone.

    Raises
    ------
    HarmonyError
        If there is no such side.

    Examples
    --------
    >>> [beside(Note.parse("D"), side).name for side in SIDES]
    ['C#', 'Eb', 'D']
    """
    need_one_of(side, "side", SIDES)
    found = note.transpose(Interval.parse(SIDES[side])).at(None)
    return found.plain() if side == "above" and found.accidental < 0 else found


def common_tone(target: ChordLike, *, rising: bool = False) -> Chord:
    """Return the common-tone diminished seventh of a chord, in either of its published spellings.

    Parameters
    ----------
    target : Chord or str
        The chord that it decorates and whose root it keeps.
    rising : bool
        Whether to spell the notes that rise as raised notes, from the raised second: ♯ii°7 of I
        (Integrated Music Theory, ch. 18b), rather than on the root, as charts do.

    Examples
    --------
    >>> common_tone("C").symbol, common_tone("C", rising=True).symbol
    ('Cdim7', 'D#dim7')
    """
    chord = as_chord(target)
    raised_second = chord.root.transpose(Interval.parse("A2"))
    return Chord.of(raised_second if rising else chord.root, "dim7")


def double_names(chords: Iterable[Chord]) -> tuple[tuple[Chord, ...], ...]:
    """Return the chords of one sheet that sound the same notes under several names.

    Returns
    -------
    tuple of tuple of Chord
        One group for each set of notes with two names or more, in the order of first use; a bass
        that is one of the chord's own notes is left aside.

    Examples
    --------
    >>> sheet = [Chord.parse(name) for name in ("Am7", "D#dim7", "C6", "Ebdim7", "Dm7")]
    >>> [[chord.symbol for chord in group] for group in double_names(sheet)]
    [['Am7', 'C6'], ['D#dim7', 'Ebdim7']]
    """
    groups: dict[int, dict[Chord, None]] = {}
    for chord in chords:
        groups.setdefault(chord.pcs.mask, {})[chord if chord.foreign_bass else chord.over(None)] = (
            None
        )
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)


def need_diminished(given: ChordLike) -> Chord:
    """Return a chord that was handed in, if it is a diminished seventh.

    Raises
    ------
    HarmonyError
        If it is not.

    Examples
    --------
    >>> need_diminished("Bdim7")
    Chord.parse('Bdim7')
    """
    chord = as_chord(given)
    if not chord.is_diminished_seventh:
        raise HarmonyError(
            f"{chord.symbol} is not a diminished seventh",
            rule="its notes are 0, 3, 6 and 9 semitones above its root, and there are no others",
            mend=f"{chord.root.name}dim7",
        )
    return chord
