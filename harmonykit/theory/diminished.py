"""The three diminished sevenths: parents, minor sixths, and where they lead.

A diminished seventh divides the octave into four equal parts, so that transposing it by three
semitones changes nothing: of its twelve transpositions three differ.  Lower one of its notes by a
semitone and a dominant seventh on that note is left, its *parent* (Cohn, *Audacious Euphony*,
Oxford 2012, ch. 7); raise one and a minor sixth chord is left, also a half-diminished seventh.
Where it acts as a dominant it leads to four roots, those of its parents' targets; an approach
from above or on the same root is another use.

Spelling: a chord that rises takes the letter below its target, one that falls the letter above,
a common-tone one keeps the root of the chord that it decorates.

Notebook: 02_four_parents
"""

from __future__ import annotations

from dataclasses import dataclass

from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.interval import Interval
from harmonykit.theory.note import Note
from harmonykit.theory.spelling import SIDES, beside, need_diminished, usual_root
from harmonykit.theory.typed import Told

__all__ = [
    "SIDES",
    "Move",
    "Raising",
    "Resolution",
    "approach",
    "diminished_sevenths",
    "minor_sixths",
    "parents",
    "raised",
    "raisings",
    "resolutions",
]

_FIFTH_DOWN = Interval.parse("-P5")


@dataclass(frozen=True, slots=True, repr=False)
class Move(Told):
    """One voice's step from a note to a note.

    Parameters
    ----------
    start : Note
    end : Note

    Examples
    --------
    >>> hk.theory.Move(hk.Note.parse("Ab"), hk.Note.parse("G")).semitones
    -1
    >>> str(hk.theory.Move(hk.Note.parse("B"), hk.Note.parse("C")))
    'B rises to C'
    """

    start: Note
    end: Note

    @property
    def semitones(self) -> int:
        """Semitones moved, the shorter way round: -5 to 6."""
        return (self.end.pitch_class - self.start.pitch_class + 5) % 12 - 5

    def __str__(self) -> str:
        if self.semitones == 0:
            renamed = "" if self.start.name == self.end.name else f" as {self.end.unicode}"
            return f"{self.start.unicode} stays{renamed}"
        return f"{self.start.unicode} {'rises' if self.semitones > 0 else 'falls'} to " + (
            self.end.unicode
        )


@dataclass(frozen=True, slots=True, repr=False)
class Resolution(Told):
    """One way on from a diminished seventh used as a dominant.

    Parameters
    ----------
    chord : Chord
        The diminished seventh.
    parent : Chord
        The dominant seventh that holds three of its notes.
    lowered : Move
        The note that falls by a semitone to become the parent's root.
    target : Note
        The root a fifth below the parent's.
    moves : tuple of Move
        From the diminished seventh to the target's major triad, by rising root of the target
        chord: third, fifth, seventh and flat ninth of the parent.

    Examples
    --------
    >>> way = hk.resolutions(hk.Chord.parse("Bdim7"))[2]
    >>> way.parent.symbol, str(way.lowered), way.target.name
    ('G7', 'A♭ falls to G', 'C')
    >>> way.lowering
    'Lower A♭ of B°7 by a semitone to G and G7 is left.'
    """

    chord: Chord
    parent: Chord
    lowered: Move
    target: Note
    moves: tuple[Move, ...]

    def __str__(self) -> str:
        return self.reason.rstrip(".")

    @property
    def lowering(self) -> str:
        """One sentence that says how the parent is made of the diminished seventh."""
        return (
            f"Lower {self.lowered.start.unicode} of {self.chord.unicode} by a semitone to "
            f"{self.lowered.end.unicode} and {self.parent.unicode} is left."
        )

    @property
    def reason(self) -> str:
        """One sentence with the notes that move."""
        steps = ", ".join(map(str, self.moves))
        return (
            f"{self.chord.unicode} is {self.parent.unicode}♭9 without its root, so it resolves to "
            f"{self.target.unicode}: {steps}."
        )


@dataclass(frozen=True, slots=True, repr=False)
class Raising(Told):
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
    'Raise E♭ of C°7 by a semitone to E and Am6 is left, which is also F♯m7♭5.'
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
            f"{self.raised.end.unicode} and {self.sixth.unicode} is left, which is also "
            f"{self.half_diminished.unicode}."
        )


def diminished_sevenths() -> tuple[Chord, ...]:
    """Return the three diminished sevenths, on C, C♯ and D.

    Returns
    -------
    tuple of Chord

    Examples
    --------
    >>> [chord.symbol for chord in hk.diminished_sevenths()]
    ['Cdim7', 'C#dim7', 'Ddim7']
    >>> len({chord.pcs for chord in hk.diminished_sevenths()})
    3
    """
    return tuple(Chord.of(root, "dim7") for root in ("C", "C#", "D"))


def parents(chord: ChordLike) -> tuple[Chord, ...]:
    """Return the four dominant sevenths that a diminished seventh stands for.

    Each has as its root one note of the diminished seventh lowered by a semitone; with a flat
    ninth and without its root it *is* the diminished seventh.

    Parameters
    ----------
    chord : Chord or str
        A diminished seventh.

    Returns
    -------
    tuple of Chord
        Four plain dominant sevenths, by root upward from the chord's own root.

    Raises
    ------
    HarmonyError
        If the chord is no diminished seventh.

    References
    ----------
    Cohn, R., *Audacious Euphony*, Oxford University Press 2012, ch. 7.

    Examples
    --------
    >>> [parent.symbol for parent in hk.parents("Bdim7")]
    ['Db7', 'E7', 'G7', 'Bb7']
    """
    return tuple(resolution.parent for resolution in resolutions(chord))


def minor_sixths(chord: ChordLike) -> tuple[Chord, ...]:
    """Return the four minor sixth chords that raising one note of a diminished seventh makes.

    Each is also a half-diminished seventh on its own sixth.  By root upward from the chord's own.

    Parameters
    ----------
    chord : Chord or str
        A chord or its symbol.

    Returns
    -------
    tuple of Chord

    References
    ----------
    R. Cohn, *Audacious Euphony*, Oxford UP 2012, ch. 7.

    Examples
    --------
    >>> [sixth.symbol for sixth in hk.minor_sixths("Cdim7")]
    ['Cm6', 'Ebm6', 'Gbm6', 'Am6']
    """
    tones = need_diminished(chord).tones
    return tuple(Chord.of(note.plain(), "m6") for note in tones)


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
    low = need_diminished(chord)
    return tuple(Raising(low, sixth, raised(low, sixth)) for sixth in minor_sixths(low))


def resolutions(chord: ChordLike) -> tuple[Resolution, ...]:
    """Return, for each parent, its target root and the moves of the voices.

    This is the dominant use: it leads to four places.  By the parent's root upward from the
    chord's own root.

    Parameters
    ----------
    chord : Chord or str
        A chord or its symbol.

    Returns
    -------
    tuple of Resolution

    Examples
    --------
    >>> [(r.parent.symbol, r.target.name) for r in hk.resolutions("Adim7")]
    [('B7', 'E'), ('D7', 'G'), ('F7', 'Bb'), ('Ab7', 'Db')]
    >>> print(hk.resolutions(hk.Chord.parse("Bdim7"))[2].reason)
    B°7 is G7♭9 without its root, so it resolves to C: B rises to C, D falls to C, F falls to E, A♭ falls to G.
    """  # noqa: E501
    low = need_diminished(chord)
    own = low.root.pitch_class
    roots = sorted(((pc - 1) % 12 for pc in low.pcs), key=lambda root: (root - own) % 12)
    return tuple(_resolution(low, root) for root in roots)


def _resolution(chord: Chord, root: int) -> Resolution:
    name = usual_root(root)
    if root == 6 and chord.root.accidental < 0:
        name = Note.parse("Gb")
    parent = Chord.of(name, "7")
    target = parent.root.transpose(_FIFTH_DOWN)
    ninth = Note.spelled((root + 1) % 12, _letter_above(parent.root))
    lowered = Move(ninth, parent.root)
    triad = Chord.of(target, "").tones
    _, third, fifth, seventh = parent.tones
    ends = ((third, triad[0]), (fifth, triad[0]), (seventh, triad[1]), (ninth, triad[2]))
    return Resolution(chord, parent, lowered, target, tuple(Move(*pair) for pair in ends))


def _letter_above(note: Note) -> str:
    return note.transpose(Interval(1, 1)).letter


def approach(target: ChordLike | Note, side: str = "below") -> Chord:
    """Return the diminished seventh that leads to a target.

    Parameters
    ----------
    target : Chord or Note or str
        Of a slash chord the bass is the target; text is read as a chord symbol.
    side : {"below", "above", "same"}
        A semitone below (letter below), a semitone above (letter above; never a dominant), or on
        the target's own root (common-tone).

    Returns
    -------
    Chord

    Examples
    --------
    >>> hk.approach("Dm7").symbol, hk.approach("C/E").symbol
    ('C#dim7', 'D#dim7')
    >>> hk.approach("Dm7", side="above").symbol
    'Ebdim7'
    """
    if isinstance(target, Note):
        return Chord.of(beside(target, side), "dim7")
    chord = as_chord(target)
    return Chord.of(beside(chord.root if side == "same" else chord.bass, side), "dim7")
