"""Minor sixths of a diminished seventh: raise one of its notes by a semitone.

Each of the four notes gives another one, and each minor sixth is also a half-diminished seventh on
its own sixth (Cohn, *Audacious Euphony*, Oxford 2012, ch. 7).
"""

from __future__ import annotations

from dataclasses import dataclass

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.spelling import need_diminished, usual_root
from harmonykit.theory.typed import Told

__all__ = ["Raising", "minor_sixths", "raised", "raisings"]


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
    sixths = (Chord.of(usual_root((own + above) % 12), "m6") for above in range(12))
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
    low = need_diminished(chord)
    return tuple(Raising(low, sixth, raised(low, sixth)) for sixth in minor_sixths(low))
