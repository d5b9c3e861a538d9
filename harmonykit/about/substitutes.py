"""What may stand for a chord: synonyms, and substitutes by the kind of chord.

Which chord may stand for which is common practice, no source; what each keeps is counted.
"""

from dataclasses import dataclass

from harmonykit.about.row import common_tones
from harmonykit.theory.chord import BY_DEGREES, Chord
from harmonykit.theory.naming import name_chords
from harmonykit.theory.note import Note
from harmonykit.theory.spelling import chart_name
from harmonykit.theory.typed import Told

# What may stand for a kind of chord: interval from its root, quality, and why.
_SUBSTITUTES = {
    "dominant": (
        ("d5", "7", "tritone substitution"),
        ("M3", "dim7", "rootless dominant ♭9"),
        ("M3", "m7b5", "rootless dominant ninth"),
        ("m2", "m6", "rootless altered dominant"),
        ("m3", "7", "one of the four dominants"),
        ("M6", "7", "one of the four dominants"),
        ("P5", "m7", "related ii"),
    ),
    "major": (
        ("M6", "m7", "relative minor"),
        ("M3", "m7", "mediant, a rootless major ninth"),
    ),
    "minor": (
        ("m3", "6", "relative major"),
        ("m3", "maj7", "relative major, a rootless minor ninth"),
    ),
    "half-diminished": (
        ("m3", "m6", "chord synonym"),
        ("-M3", "9", "the dominant ninth whose root is left out"),
    ),
    "augmented": (("P1", "7#5", "the dominant with its seventh"),),
    "minor sixth": (
        ("P4", "9", "the dominant ninth whose root is left out"),
        ("-m2", "7", "the dominant whose alterations it has"),
    ),
}


@dataclass(frozen=True, slots=True, repr=False)
class Substitute(Told):
    """A chord that may stand for another.

    Parameters
    ----------
    chord : Chord
    kind : str
        Why: ``"tritone substitution"``, ``"rootless dominant ♭9"``, ``"relative minor"``.
    common : tuple of Note
        The notes of the first chord that it keeps.
    """

    chord: Chord
    kind: str
    common: tuple[Note, ...]

    def __str__(self) -> str:
        kept = " ".join(note.unicode for note in self.common)
        return f"{self.chord.unicode} ({self.kind}, keeps {kept})"


MOST_NOTES = 5


def stands_as(chord: Chord) -> str:
    """Return the kind of a chord for which substitutes are known; empty for others.

    Examples
    --------
    >>> [stands_as(Chord.parse(name)) for name in ("C13", "Cmaj9", "Cm7", "Cm7b5", "Caug", "Csus4")]
    ['dominant', 'major', 'minor', 'half-diminished', 'augmented', '']
    """
    above = set(chord.semitones)
    if above == {0, 4, 8}:
        return "augmented"
    if chord.is_dominant:
        return "dominant"
    if {3, 6, 10} <= above:
        return "half-diminished"
    if {4, 7} <= above:
        return "major"
    if {3, 7} <= above and not above & {10, 11} and 9 in above:
        return "minor sixth"
    return "minor" if {3, 7} <= above and 11 not in above else ""


def substitutes(chord: Chord) -> tuple[Substitute, ...]:
    """Return the chords that may stand for a chord, each with why and with what it keeps.

    Chords with just the same notes come first, as synonyms.

    Examples
    --------
    >>> print(substitutes(Chord.parse("G7"))[0])
    D♭7 (tritone substitution, keeps B F)
    >>> print(substitutes(Chord.parse("C6"))[0])
    Am7 (chord synonym, keeps C E G A)
    """
    # Of a chord in six or seven notes every other root is a synonym, which tells nobody anything.
    few = len(chord.pcs) <= MOST_NOTES
    same = ((one, "chord synonym") for one in synonyms(chord) if few)
    rows = _SUBSTITUTES.get(stands_as(chord), ())
    others = (
        (Chord.of(chart_name(chord.root.transpose(up).at(None)), suffix), why)
        for up, suffix, why in rows
    )
    found: dict[Chord, Substitute] = {}
    for other, why in (*same, *others):
        if other.pcs != chord.pcs or why == "chord synonym":
            found.setdefault(other, Substitute(other, why, common_tones(chord, other)))
    return tuple(found.values())


def synonyms(chord: Chord) -> tuple[Chord, ...]:
    """Return the other chords of the table of qualities with just the same notes.

    Examples
    --------
    >>> [[str(one) for one in synonyms(Chord.parse(name))] for name in ("C6", "Dm7b5", "C7")]
    [['Am7'], ['Fm6'], []]
    """
    names = name_chords(chord, bass=chord.root)
    whole = (one.chord.over(None).easy() for one in names if one.complete)
    found = dict.fromkeys(
        one for one in whole if one.pcs == chord.pcs and one.degrees in BY_DEGREES
    )
    own = chord.root.pitch_class, chord.degrees
    return tuple(one for one in found if (one.root.pitch_class, one.degrees) != own)
