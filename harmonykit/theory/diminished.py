"""The three diminished sevenths: their parents, and where they lead.

A diminished seventh divides the octave into four equal parts, so that transposing it by three
semitones changes nothing: of its twelve transpositions three differ.  Lower one of its notes by a
semitone and the chord becomes a dominant seventh on that note, its *parent* (Cohn, *Audacious
Euphony*, Oxford 2012, ch. 7); what raising one makes of it is told by ``theory.raising``.
Where it acts as a dominant it leads to four roots, those of its parents' targets; an approach
from above or on the same root is another use.

Spelling: a chord that rises takes the letter below its target, one that falls the letter above,
a common-tone one keeps the root of the chord that it decorates.

Notebook: 02_four_parents
"""

from __future__ import annotations

from functools import lru_cache

from harmonykit.errors import HarmonyError
from harmonykit.theory import interval, typed
from harmonykit.theory.chord import Chord, Degree, Note, PcSet
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.spelling import SIDES, beside, usual_root
from harmonykit.values import dataclass

__all__ = [
    "SIDES",
    "Move",
    "Resolution",
    "approach",
    "diminished_sevenths",
    "parents",
    "resolutions",
]

_FIFTH_DOWN = interval.Interval.parse("-P5")
_DOMINANT = PcSet.of(0, 4, 7, 10)
_GUIDE_TONES, _ROOT_AND_THIRD = PcSet.of(4, 10), PcSet.of(0, 4)
_SHARP_FIFTH = Degree(5, 1)
# What may stand beside the tones of a dominant, by semitones above its root.
_FOREIGN = {1: Degree(9, -1), 2: Degree(9), 6: Degree(5, -1), 8: _SHARP_FIFTH}
_ALTERED = _DOMINANT | PcSet.of(*_FOREIGN)
_CALLED = {1: "root", 3: "third", 5: "fifth", 7: "seventh"}


@dataclass(frozen=True, slots=True, repr=False)
class Move(typed.Told):
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
class Resolution(typed.Told):
    """One way on from a diminished seventh, or from another altered chord, used as a dominant.

    Parameters
    ----------
    chord : Chord
        The diminished seventh.
    parent : Chord
        The dominant seventh that holds all of its notes but one.
    lowered : Move
        The note that moves to make the parent of it: of a diminished seventh the one that falls
        by a semitone to become the parent's root.
    target : Note
        The root a fifth below the parent's.
    moves : tuple of Move
        From the chord to the target's major triad: root, third, fifth, seventh and ninth of the
        parent, as far as they sound.
    stands_for : str
        The dominant that the chord replaces, as printed: ``"G7♭9 without its root"``.

    Examples
    --------
    >>> way = hk.resolutions(hk.Chord.parse("Bdim7"))[2]
    >>> way.parent.symbol, str(way.lowered), way.target.name
    ('G7', 'A♭ falls to G', 'C')
    >>> way.lowering
    'Lower A♭ of B°7 by a semitone to G: the chord becomes G7.'
    """

    chord: Chord
    parent: Chord
    lowered: Move
    target: Note
    moves: tuple[Move, ...]
    stands_for: str

    def __str__(self) -> str:
        return self.reason.rstrip(".")

    @property
    def lowering(self) -> str:
        """One sentence that says how the parent is made of the chord."""
        verb = "Lower" if self.lowered.semitones < 0 else "Raise"
        by = "semitone" if abs(self.lowered.semitones) == 1 else "whole step"
        return (
            f"{verb} {self.lowered.start.unicode} of {self.chord.unicode} by a {by} to "
            f"{self.lowered.end.unicode}: the chord becomes {self.parent.unicode}."
        )

    @property
    def reason(self) -> str:
        """One sentence with the notes that move."""
        steps = ", ".join(map(str, self.moves))
        own = self.stands_for == self.chord.unicode
        role = "" if own else f" is {self.stands_for}, so it"
        return f"{self.chord.unicode}{role} resolves to {self.target.unicode}: {steps}."


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
    """Return the dominant sevenths that a diminished seventh or another altered chord replaces.

    The chord has the dominant's third and seventh, a triad its root and third; all its notes
    are the dominant's but one, which is a ninth, ♭9, ♭5 or ♯5.  Of a diminished seventh each of
    the four notes lowered by a semitone is the root of one.

    Parameters
    ----------
    chord : Chord or str
        A diminished or half-diminished seventh, a minor sixth chord, a seventh with a flat fifth,
        an augmented triad.

    Returns
    -------
    tuple of Chord
        Plain dominant sevenths, by root upward from the chord's own root.

    Raises
    ------
    HarmonyError
        If the chord replaces none.

    References
    ----------
    Cohn, R., *Audacious Euphony*, Oxford University Press 2012, ch. 7.

    Examples
    --------
    >>> [parent.symbol for parent in hk.parents("Bdim7")]
    ['Db7', 'E7', 'G7', 'Bb7']
    >>> [[str(one) for one in hk.parents(chord)] for chord in ("Bm7b5", "C7b5", "C+")]
    [['G7'], ['C7', 'F#7'], ['C7', 'E7', 'Ab7']]
    """
    return tuple(resolution.parent for resolution in resolutions(chord))


def resolutions(chord: ChordLike) -> tuple[Resolution, ...]:
    """Return each dominant that the chord replaces, with its target and the moves of the voices.

    This is the dominant use: a diminished seventh resolves to four roots, an augmented triad to
    three, a seventh with a flat fifth to two.  By the parent's root upward from the chord's own.

    Parameters
    ----------
    chord : Chord or str
        A chord or its symbol.

    Returns
    -------
    tuple of Resolution

    Raises
    ------
    HarmonyError
        If the chord replaces no other dominant.

    Examples
    --------
    >>> [(r.parent.symbol, r.target.name) for r in hk.resolutions("Adim7")]
    [('B7', 'E'), ('D7', 'G'), ('F7', 'Bb'), ('Ab7', 'Db')]
    >>> print(hk.resolutions(hk.Chord.parse("Bdim7"))[2].reason)
    B°7 is G7♭9 without its root, so it resolves to C: B rises to C, D falls to C, F falls to E, A♭ falls to G.
    >>> print(hk.resolutions("C+")[0].reason)
    C+ is C7♯5 without its seventh, so it resolves to F: C rises to F, E rises to F, G♯ rises to A.
    """  # noqa: E501
    low = as_chord(chord)
    if found := _resolutions(low):
        return found
    raise HarmonyError(
        f"{low.symbol} is not a diminished seventh, and replaces no dominant seventh",
        rule="it shares all notes but one with a dominant seventh, the dominant's third among them",
        mend=f"{low.root.name}dim7",
    )


@lru_cache(maxsize=512)
def _resolutions(chord: Chord) -> tuple[Resolution, ...]:
    own = chord.root.pitch_class
    roots = sorted(_roots_stood_for(chord.pcs), key=lambda root: (root - own) % 12)
    return tuple(_resolution(chord, root) for root in roots)


def _roots_stood_for(pcs: PcSet) -> list[int]:
    """Return the roots of the dominants that a chord of three or four notes stands for."""
    found = []
    for root in range(12):
        above = pcs.transpose(-root)
        core = {3: _ROOT_AND_THIRD, 4: _GUIDE_TONES}.get(len(pcs))
        if core and core <= above <= _ALTERED and len(above - _DOMINANT) == 1:
            found.append(root)
    return found


def _resolution(chord: Chord, root: int) -> Resolution:
    name = usual_root(root)
    if root == 6 and chord.root.accidental < 0:
        name = Note.parse("Gb")
    parent = Chord.of(name, "7")
    (foreign,) = chord.pcs - parent.pcs
    degree = _FOREIGN[(foreign - root) % 12]
    moved = degree.over(parent.root)
    tones = [note for note in parent.tones if note.pitch_class in chord.pcs] + [moved]
    tones.sort(key=lambda note: parent.root.interval_to(note).semitones % 12)
    if degree.number == 9:
        tones = [note for note in tones if note != moved] + [moved]
    target = parent.root.transpose(_FIFTH_DOWN)
    home = Chord.of(target, "").tones
    ends = {1: home[0], 3: home[0], 5: home[0], 7: home[1], 9: home[2]}
    moves = []
    for note in tones:
        number = 9 if note == moved and degree.number == 9 else _number(parent, note, degree)
        end = home[1] if note == moved and degree == _SHARP_FIFTH else ends[number]
        moves.append(Move(note, end))
    goal = parent.tones[0 if degree.number == 9 else 2]
    return Resolution(
        chord, parent, Move(moved, goal), target, tuple(moves), _said(parent, chord, degree)
    )


def _number(parent: Chord, note: Note, moved: Degree) -> int:
    known = parent.degree_of(note.pitch_class)
    return moved.number if known is None else known.number


def _said(parent: Chord, chord: Chord, degree: Degree) -> str:
    """Return the dominant for which a chord stands, with what of it does not sound."""
    suffix = "9" if degree == Degree(9) else f"7{degree.unicode}"
    kept = [each for each in parent.degrees if each.number != 5 or degree.number != 5]
    lost = [d for d in kept if d.over(parent.root).pitch_class not in chord.pcs]
    words = " and ".join(_CALLED[each.number] for each in lost)
    named = f"{parent.root.unicode}{suffix}"
    return f"{named} without its {words}" if words else named


def approach(target: ChordLike | Note, side: str = "below") -> Chord:
    """Return the diminished seventh that approaches a target.

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
    if not isinstance(target, Note):
        chord = as_chord(target)
        target = chord.root if side == "same" else chord.bass
    return _diminished_on(beside(target, side))


@lru_cache(maxsize=64)
def _diminished_on(root: Note) -> Chord:
    return Chord.of(root, "dim7")
