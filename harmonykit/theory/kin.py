"""Kin of chords by one note: P, L, R, the Tonnetz, to a seventh, minor sixths of a diminished.

Conventions.  P changes a major triad into the minor one on its root and back, R into its relative,
L into the triad on the mediant (of a minor one: on the submediant); each keeps two notes.  A word
is read from left to right.  N, S and H are words with a name: N = RLP, S = LPR, H = LPL.  Each of
the four notes of a diminished seventh, raised by a semitone, gives another minor sixth, which is
also a half-diminished seventh on its own sixth.

References
----------
R. Cohn, "Neo-Riemannian Operations, Parsimonious Trichords, and Their *Tonnetz* Representations",
*Journal of Music Theory* 41/1 (1997).
S. Cannas, S. Antonini and L. Pernazza, "On the Group of Transformations of Classical Types of
Seventh Chords", *Mathematics and Computation in Music* 2017.
R. Cohn, *Audacious Euphony*, Oxford 2012, ch. 7: the minor sixths.

Notebook: 07_set_class_catalogue
"""

from __future__ import annotations

from harmonykit.errors import HarmonyError, need_text, need_whole
from harmonykit.theory import spelling, typed
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.diminished import Move
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.leading.neighbours import OneNote, one_note_changes
from harmonykit.values import dataclass, replace

SEVENTHS = ("7", "m7", "m7b5", "maj7", "dim7")
_LONG = {"N": "RLP", "S": "LPR", "H": "LPL"}
# How the root moves from a major and from a minor triad, as intervals, and to which suffix.
_MAJOR = {"P": ("P1", "m"), "L": ("M3", "m"), "R": ("-m3", "m")}
_MINOR = {"P": ("P1", ""), "L": ("-M3", ""), "R": ("m3", "")}
_FIFTH, _THIRD = 7, 4


def plr(chord: ChordLike, word: str) -> Chord:
    """Return the triad that the letters P, L, R, N, S and H make of another, one after the other.

    Parameters
    ----------
    chord : Chord or str
        A major or minor triad.
    word : str
        ``"P"``, ``"PL"``; read from left to right.

    Returns
    -------
    Chord
        With a root as charts write it.

    Raises
    ------
    HarmonyError
        If the chord is another one, or the word has another letter.

    References
    ----------
    R. Cohn, *Journal of Music Theory* 41/1 (1997).

    Examples
    --------
    >>> [hk.theory.plr("C", word).symbol for word in ("P", "L", "R", "N", "S", "H")]
    ['Cm', 'Em', 'Am', 'Fm', 'C#m', 'G#m']
    """
    triad = _need_triad(chord)
    for letter in need_text(word, "letters P, L, R, N, S and H", '"PL"').strip().upper():
        if letter not in {*_MAJOR, *_LONG}:
            raise HarmonyError(
                f"{letter!r} is not one of P, L, R, N, S and H", mend='plr("C", "PL")'
            )
        for step in _LONG.get(letter, letter):
            interval, suffix = (_MINOR if triad.is_minor else _MAJOR)[step]
            root = triad.root.transpose(interval).at(None)
            triad = Chord.of(spelling.chart_name(root), suffix)
    return triad


def _need_triad(chord: ChordLike) -> Chord:
    triad = as_chord(chord)
    if triad.semitones in {(0, 4, 7), (0, 3, 7)} and triad.foreign_bass is None:
        return triad.over(None)
    raise HarmonyError(f"{triad.unicode} is not a major or minor triad", mend='"C" or "Am"')


def tonnetz(columns: int = 4, rows: int = 3, start: int = 0) -> tuple[tuple[int, ...], ...]:
    """Return a piece of the Tonnetz: fifths to the right, major thirds upward.

    A note, the one at its right and the one above it are a major triad; a note, the one at its
    right and the one below that are a minor triad.

    Parameters
    ----------
    columns, rows : int in 1..12
    start : int
        The pitch class at the left of the lowest row, C = 0.

    Returns
    -------
    tuple of tuple of int
        Rows of pitch classes, the highest row first.

    Raises
    ------
    HarmonyError
        If a number is out of its range.

    References
    ----------
    R. Cohn, *Journal of Music Theory* 41/1 (1997).

    Examples
    --------
    >>> hk.theory.tonnetz(4, 2)
    ((4, 11, 6, 1), (0, 7, 2, 9))
    """
    wide, high = need_whole(columns, "columns", 1, 12), need_whole(rows, "rows", 1, 12)
    low = need_whole(start, "start", 0, 11)
    return tuple(
        tuple((low + _FIFTH * column + _THIRD * row) % 12 for column in range(wide))
        for row in reversed(range(high))
    )


def seventh_kin(chord: ChordLike) -> tuple[OneNote, ...]:
    """Return the seventh chords of the five usual kinds that one note of a seventh chord makes.

    The five are dominant, minor, half-diminished, major and diminished; the note moves by a
    semitone or a whole step.

    Parameters
    ----------
    chord : Chord or str
        One of the five.

    Returns
    -------
    tuple of OneNote

    Raises
    ------
    HarmonyError
        If the chord is of another kind.

    References
    ----------
    S. Cannas, S. Antonini and L. Pernazza, *Mathematics and Computation in Music* 2017.

    Examples
    --------
    >>> for kin in hk.theory.seventh_kin("Cmaj7"):
    ...     print(kin)
    Cmaj7 with B moved to B♭ is C7
    Cmaj7 with C moved to C♯ is C♯m7♭5
    Cmaj7 with B moved to A is Am7
    Cmaj7 with C moved to D is Em7
    """
    start = as_chord(chord)
    kinds = [Chord.of("C", suffix).pcs for suffix in SEVENTHS]
    if start.foreign_bass is not None or PcSet.of(*start.semitones) not in kinds:
        raise HarmonyError(
            f"{start.unicode} is not one of the five seventh chords",
            rule="7, m7, m7♭5, maj7 and dim7",
            mend=f'"{start.root.name}7"',
        )
    found = []
    for one in one_note_changes(start.over(None)):
        names = tuple(name for name in one.names if name.quality in SEVENTHS)
        found += [replace(one, names=names)] if names else []
    return tuple(found)


__all__ = ["Raising", "minor_sixths", "raised", "raisings"]


@dataclass(frozen=True, slots=True, repr=False)
class Raising(typed.Told):
    """One way to make a minor sixth chord of a diminished seventh.

    Parameters
    ----------
    chord : Chord
        The diminished seventh.
    sixth : Chord
        The minor sixth chord that holds three of its notes.
    raised : Move
        The note that rises by a semitone.

    Examples
    --------
    >>> way = hk.raisings(hk.Chord.parse("Cdim7"))[3]
    >>> way.sixth.symbol, way.half_diminished.symbol
    ('Am6', 'F#m7b5')
    >>> way.reason
    'Raise E♭ of C°7 by a semitone to E: the chord becomes Am6, which is also F♯m7♭5.'
    """

    chord: Chord
    sixth: Chord
    raised: Move

    def __str__(self) -> str:
        return self.reason.rstrip(".")

    @property
    def half_diminished(self) -> Chord:
        """The half-diminished seventh with the same notes, on the sixth of the chord."""
        return Chord.of(self.sixth.tones[-1], "m7b5")

    @property
    def reason(self) -> str:
        """One sentence with the note that moves."""
        return (
            f"Raise {self.raised.start.unicode} of {self.chord.unicode} by a semitone to "
            f"{self.raised.end.unicode}: the chord becomes {self.sixth.unicode}, which is also "
            f"{self.half_diminished.unicode}."
        )


def minor_sixths(chord: ChordLike) -> tuple[Chord, ...]:
    """Return the minor sixth chords that one note moved by a semitone makes of a chord.

    Of a diminished seventh raising each note makes one.  Each is also a half-diminished seventh
    on its own sixth.  By root upward from the chord's own.

    Parameters
    ----------
    chord : Chord or str
        A chord of four notes or its symbol.

    Returns
    -------
    tuple of Chord

    Raises
    ------
    HarmonyError
        If no minor sixth chord is a semitone away.

    References
    ----------
    R. Cohn, *Audacious Euphony*, Oxford UP 2012, ch. 7.

    Examples
    --------
    >>> [sixth.symbol for sixth in hk.minor_sixths("Cdim7")]
    ['Cm6', 'Ebm6', 'Gbm6', 'Am6']
    >>> [sixth.symbol for sixth in hk.minor_sixths("C7b5")]
    ['Ebm6', 'Am6']
    """
    low = as_chord(chord)
    if low.is_diminished_seventh:
        return tuple(Chord.of(note.plain(), "m6") for note in low.tones)
    own = low.root.pitch_class
    sixths = (Chord.of(spelling.usual_root((own + above) % 12), "m6") for above in range(12))
    found = tuple(one for one in sixths if _a_semitone_apart(low.pcs, one.pcs))
    if found:
        return found
    raise HarmonyError(
        f"{low.unicode} is not a semitone away from a minor sixth chord",
        rule="one of its four notes, moved by a semitone, gives a minor sixth chord",
        mend=f"{low.root.name}dim7",
    )


def _a_semitone_apart(one: PcSet, other: PcSet) -> bool:
    left, new = tuple(one - other), tuple(other - one)
    return len(left) == len(new) == 1 and (new[0] - left[0]) % 12 in (1, 11)


def raised(chord: ChordLike, sixth: ChordLike) -> Move:
    """Return the note that rises from a diminished seventh to one of its minor sixths.

    Examples
    --------
    >>> str(raised(Chord.parse("Cdim7"), Chord.parse("Am6")))
    'E♭ rises to E'
    """
    chord, sixth = as_chord(chord), as_chord(sixth)
    (start,) = (pc for pc in chord.pcs if pc not in sixth.pcs)
    return Move(chord.spell(start).plain(), sixth.spell((start + 1) % 12))


def raisings(chord: ChordLike) -> tuple[Raising, ...]:
    """Return each minor sixth chord of a diminished seventh with the note that rises.

    Parameters
    ----------
    chord : Chord or str
        A chord or its symbol.

    Returns
    -------
    tuple of Raising

    References
    ----------
    R. Cohn, *Audacious Euphony*, Oxford UP 2012, ch. 7.

    Examples
    --------
    >>> [str(way.raised) for way in hk.raisings(hk.Chord.parse("Cdim7"))]
    ['G♭ rises to G', 'A rises to B♭', 'C rises to D♭', 'E♭ rises to E']
    """
    low = spelling.need_diminished(chord)
    return tuple(Raising(low, sixth, raised(low, sixth)) for sixth in minor_sixths(low))
