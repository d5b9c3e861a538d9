"""Roman numerals, an analysed chord, and the chains of ii-V pairs in a row of them.

Conventions (common practice of jazz, no source).  Degrees are counted from the major scale on the
tonic in both modes, so that A minor has i, bIII, bVI and bVII, and its leading-tone chord is vii.
Capitals have a major third or none, small letters a minor one; ``o`` is diminished, ``ø`` half
diminished, ``+`` augmented.
"""

import re
from collections.abc import Sequence

from harmonykit.theory.chord import Chord, Degree, Note
from harmonykit.theory.interval import SEMITONES
from harmonykit.theory.key import Key, falls_a_fifth
from harmonykit.values import dataclass

# A flat stands before a numeral or a figure; "sub" has a b too.
_FLAT = re.compile(r"(?<![a-zA-Z])b(?=[IVivb])|(?<=[\w)])b(?=\d)")
# Raised, they are the next degree lowered: #I7 is bII7 with another letter.
_RAISED = (1, 2, 5, 6)
_DIMINISHED = re.compile(r"(?<=[iv])o")

ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII")
# What a key's own triads are called, by semitones above the tonic; chords borrowed from the other
# mode have the same names.
_OWN = {
    "major": {0: "I", 2: "ii", 4: "iii", 5: "IV", 7: "V", 9: "vi", 11: "vii"},
    "minor": {0: "i", 2: "ii", 3: "bIII", 5: "iv", 7: "V", 8: "bVI", 10: "bVII"},
}
_BORROWED = {
    "major": {3: "bIII", 8: "bVI", 10: "bVII"},
    "minor": {4: "III", 9: "vi", 11: "vii"},
}  # fmt: skip


def degree_of(root: Note, key: Key) -> Degree:
    """Return a root as a degree of the major scale on the tonic, by its letter.

    Examples
    --------
    >>> [str(degree_of(Note.parse(name), Key.parse("C"))) for name in ("Eb", "D#")]
    ['b3', '#2']
    """
    interval = key.tonic.interval_to(root)
    place = interval.steps % 7
    alter = (interval.semitones - SEMITONES[place] + 6) % 12 - 6
    return Degree(place + 1, alter)


def numeral_of(chord: Chord, key: Key) -> str:
    """Return a chord's roman numeral; what stands below it is left out.

    Examples
    --------
    >>> key = Key.parse("C")
    >>> [numeral_of(Chord.parse(s), key) for s in ("Dm7", "G7b9", "Bm7b5", "Ebdim7", "Cmaj7")]
    ['ii7', 'V7b9', 'viiø7', 'biiio7', 'Imaj7']
    >>> [numeral_of(Chord.parse(s), key) for s in ("C#7", "Db7", "C#dim7", "G#maj7", "F#7")]
    ['bII7', 'bII7', '#io7', 'bVImaj7', '#IV7']
    """
    degree = degree_of(chord.root, key)
    if degree.alter == 1 and degree.number in _RAISED and 4 in chord.semitones:
        # A raised degree leads up and is diminished; a major third stands on a lowered one.
        degree = Degree(degree.number + 1, -1)
    return accidental(degree) + with_kind(ROMAN[degree.number - 1], chord)


def printed_numeral(numeral: str) -> str:
    """Return a numeral as it is printed: ♭ for b, ♯ for #, ° for o.

    Examples
    --------
    >>> [printed_numeral(each) for each in ("viio7/bIII", "V7b9/ii", "subV7", "#ivo7")]
    ['vii°7/♭III', 'V7♭9/ii', 'subV7', '♯iv°7']
    """
    flat = _FLAT.sub("♭", numeral).replace("#", "♯")
    return _DIMINISHED.sub("°", flat)


def accidental(degree: Degree) -> str:
    """Return a degree's signs."""
    return degree.name.rstrip("0123456789")


def with_kind(roman: str, chord: Chord) -> str:
    """Return a numeral of plain capitals with the letters and figures of a chord's kind."""
    quality, above = chord.quality, set(chord.semitones)
    if quality == "dim7":
        return f"{roman.lower()}o7"
    if quality.startswith("m7b5"):
        return f"{roman.lower()}ø7{quality[4:]}"
    if quality == "mb5":
        return f"{roman.lower()}o"
    if quality.startswith("dim"):
        return f"{roman.lower()}o{quality[3:]}"
    if 3 in above and 4 not in above:
        figures = quality.removeprefix("m")
        # Set apart, or a minor chord with a major seventh looks like a major seventh chord.
        return roman.lower() + (f"({figures})" if quality.startswith("mmaj") else figures)
    return roman + quality


def name_of_goal(root: Note, key: Key, chord: Chord | None = None) -> str:
    """Return what a goal is called: the key's own triad on its root, or what stands there.

    A goal that is itself a dominant, or that has no third, is called by the key's triad, and so is
    one that is not heard.
    """
    place = (root.pitch_class - key.tonic.pitch_class) % 12
    own = _OWN[key.mode].get(place)
    above = set() if chord is None else set(chord.semitones)
    if chord is None or chord.is_dominant or {3, 6} <= above or not {3, 4} & above:
        return own or _BORROWED[key.mode].get(place) or _plain(root, key, chord)
    return _plain(root, key, chord)


def _plain(root: Note, key: Key, chord: Chord | None) -> str:
    degree = degree_of(root, key)
    minor = chord is not None and 3 in chord.semitones and 4 not in chord.semitones
    roman = ROMAN[degree.number - 1]
    return accidental(degree) + (roman.lower() if minor else roman)


def is_own_degree(root: Note, key: Key) -> bool:
    """Return whether a root is a degree of the key that a dominant of its own may lead to."""
    above = (root.pitch_class - key.tonic.pitch_class) % 12
    return above in _OWN[key.mode] and above != 0


TONIC, PREDOMINANT, DOMINANT = "tonic", "predominant", "dominant"


@dataclass(frozen=True, slots=True)
class Analysed:
    """A chord in its key.

    Parameters
    ----------
    chord : Chord or None
        ``None`` where none sounds.
    numeral : str
        ``"V7/ii"``: a secondary dominant has its goal behind a stroke.
    function : {"tonic", "predominant", "dominant", ""}
        Empty where none is plain.
    goal : str
        What a dominant or its predominant leads to: ``"ii"``; empty for the key's own tonic.
    doubt : str
        Why this is doubtful, or nothing.
    """

    chord: Chord | None
    numeral: str
    function: str = ""
    goal: str = ""
    doubt: str = ""

    @property
    def words(self) -> str:
        """What it does, in words; empty where no function is plain.

        Examples
        --------
        >>> hk.tune.Analysed(hk.Chord.parse("A7"), "V7/ii", "dominant", "ii").words
        'dominant of ii'
        >>> hk.tune.Analysed(hk.Chord.parse("Eb7"), "subV7/ii", "dominant", "ii").words
        'tritone substitute of V7/ii'
        """
        kind = self.function
        if kind == DOMINANT and self.numeral.startswith("subV"):
            replaced = f" of V7/{printed_numeral(self.goal)}" if self.goal else ""
            return f"tritone substitute{replaced}"
        if kind == DOMINANT and self.numeral.startswith("viio"):
            kind = "leading-tone diminished"
        return f"{kind} of {printed_numeral(self.goal)}" if kind and self.goal else kind


@dataclass(frozen=True, slots=True)
class Chain:
    """Predominants and dominants in a row, by their indices; ``goal`` is that of the last.

    Parameters
    ----------
    chords : tuple of int
        Indices among the changes.
    goal : str
        The numeral that the last one resolves to.
    """

    chords: tuple[int, ...]
    goal: str


def find_chains(entries: Sequence[Analysed]) -> tuple[Chain, ...]:
    """Return the ii-V pairs, and longer rows of them that run into each other."""
    chains: list[list[int]] = []
    index = 0
    while index + 1 < len(entries):
        one, two = entries[index], entries[index + 1]
        if _is_pair(one, two):
            joined = chains and chains[-1][-1] == index - 1
            if joined and not _arrives(entries[index - 1], one):
                chains[-1] += [index, index + 1]
            else:
                chains.append([index, index + 1])
            index += 2
        else:
            index += 1
    return tuple(Chain(tuple(chain), entries[chain[-1]].goal) for chain in chains)


def _is_pair(one: Analysed, two: Analysed) -> bool:
    if one.chord is None or two.chord is None or two.function != DOMINANT:
        return False
    fifth = falls_a_fifth(one.chord, two.chord)
    return fifth and is_minor_like(one.chord) and may_be_dominant(two.chord)


def _arrives(dominant: Analysed, after: Analysed) -> bool:
    """Return whether a dominant has come home to a tonic: then a new chain begins."""
    return after.function == TONIC and not dominant.goal


def is_minor_like(chord: Chord) -> bool:
    """Return whether a chord may be the ii of a dominant: a minor third, no diminished seventh."""
    return 3 in chord.semitones and 4 not in chord.semitones and 9 not in chord.semitones


def may_be_dominant(chord: Chord) -> bool:
    """Return whether a chord has a minor seventh over a major third, or over a fourth instead."""
    above = set(chord.semitones)
    return 10 in above and (4 in above or (5 in above and 3 not in above))
