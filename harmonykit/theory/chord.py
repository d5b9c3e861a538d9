"""Chords as spelled degrees over a root, and the table of chord qualities.

Conventions.  A degree is a number of the major scale (1 to 7, 9, 11, 13) and an alteration in
semitones: ♭7 is ``Degree(7, -1)``, the seventh of a diminished seventh ``Degree(7, -2)``.
Semitones stand above the root and are taken modulo 12.  A bass that is no tone of the chord is
*foreign*: it is kept in ``bass`` and left out of ``semitones``, ``tones`` and ``pcs``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from harmonykit.errors import HarmonyError
from harmonykit.theory.note import LETTERS, Interval, Note, printed_accidental
from harmonykit.theory.pcset import PcSet

if TYPE_CHECKING:
    from harmonykit.theory.symbol import Dialect

_SCALE = (0, 2, 4, 5, 7, 9, 11)


@dataclass(frozen=True, slots=True, order=True)
class Degree:
    """A degree of the major scale over a root, altered by semitones.

    Examples
    --------
    >>> Degree.parse("b7"), Degree.parse("#11").semitones
    (Degree.parse('b7'), 18)
    """

    number: int
    alter: int = 0

    @classmethod
    def parse(cls, text: str) -> Degree:
        """Read ``"5"``, ``"b7"``, ``"bb7"`` or ``"#11"``."""
        digits = text.lstrip("b#")
        signs = text[: len(text) - len(digits)]
        if not digits.isascii() or not digits.isdigit() or not 1 <= int(digits) <= 13:
            raise HarmonyError(f"{text!r} is no degree", mend='"3", "b7" or "#11"')
        return cls(int(digits), signs.count("#") - signs.count("b"))

    @property
    def semitones(self) -> int:
        """Semitones above the root, not reduced: a ninth is 14."""
        octaves, place = divmod(self.number - 1, 7)
        return 12 * octaves + _SCALE[place] + self.alter

    @property
    def pitch_class(self) -> int:
        """Semitones above the root, modulo 12."""
        return self.semitones % 12

    @property
    def name(self) -> str:
        """The degree in ASCII: ``"b7"``."""
        return ("#" * self.alter if self.alter > 0 else "b" * -self.alter) + str(self.number)

    @property
    def unicode(self) -> str:
        """The degree as printed: ``"♭7"``."""
        return printed_accidental(self.alter) + str(self.number)

    def over(self, root: Note) -> Note:
        """Return the note of this degree over a root, spelled by its number."""
        return root.transpose(Interval(self.number - 1, self.semitones)).at(None)

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        return f"Degree.parse({self.name!r})"


def degrees(text: str) -> tuple[Degree, ...]:
    """Read degrees separated by spaces, ordered by number.

    Examples
    --------
    >>> degrees("1 3 5 b7")[-1].name
    'b7'
    """
    return tuple(sorted(map(Degree.parse, text.split())))


# Plain suffix, printed suffix, degrees.  The order is the order in which names are preferred.
# Degrees: MusicXML 4.0 kind values (W3C 2021) and common practice; 6/9, 7b5 and sus by the latter.
_QUALITY_ROWS = (
    ("", "", "1 3 5"),
    ("m", "m", "1 b3 5"),
    ("7", "7", "1 3 5 b7"),
    ("maj7", "maj7", "1 3 5 7"),
    ("m7", "m7", "1 b3 5 b7"),
    ("6", "6", "1 3 5 6"),
    ("m6", "m6", "1 b3 5 6"),
    ("dim7", "°7", "1 b3 b5 bb7"),
    ("m7b5", "m7♭5", "1 b3 b5 b7"),
    ("7b5", "7♭5", "1 3 b5 b7"),
    ("7#5", "7♯5", "1 3 #5 b7"),
    ("mb5", "m♭5", "1 b3 b5"),
    ("+", "+", "1 3 #5"),
    ("mmaj7", "m(maj7)", "1 b3 5 7"),
    ("maj7#5", "maj7♯5", "1 3 #5 7"),
    ("maj7b5", "maj7♭5", "1 3 b5 7"),
    ("dim(maj7)", "°(maj7)", "1 b3 b5 7"),
    ("sus4", "sus4", "1 4 5"),
    ("sus2", "sus2", "1 2 5"),
    ("7sus4", "7sus4", "1 4 5 b7"),
    ("5", "5", "1 5"),
    ("add9", "add9", "1 3 5 9"),
    ("m(add9)", "m(add9)", "1 b3 5 9"),
    ("6/9", "6/9", "1 3 5 6 9"),
    ("m6/9", "m6/9", "1 b3 5 6 9"),
    ("9", "9", "1 3 5 b7 9"),
    ("maj9", "maj9", "1 3 5 7 9"),
    ("m9", "m9", "1 b3 5 b7 9"),
    ("mmaj9", "m(maj9)", "1 b3 5 7 9"),
    ("7b9", "7♭9", "1 3 5 b7 b9"),
    ("7#9", "7♯9", "1 3 5 b7 #9"),
    ("9sus4", "9sus4", "1 4 5 b7 9"),
    ("11", "11", "1 3 5 b7 9 11"),
    ("maj11", "maj11", "1 3 5 7 9 11"),
    ("m11", "m11", "1 b3 5 b7 9 11"),
    ("7#11", "7♯11", "1 3 5 b7 #11"),
    ("9#11", "9♯11", "1 3 5 b7 9 #11"),
    ("maj7#11", "maj7♯11", "1 3 5 7 #11"),
    ("13", "13", "1 3 5 b7 9 11 13"),
    ("maj13", "maj13", "1 3 5 7 9 11 13"),
    ("m13", "m13", "1 b3 5 b7 9 11 13"),
    ("13sus4", "13sus4", "1 4 5 b7 9 13"),
    ("13b9", "13♭9", "1 3 5 b7 b9 13"),
    ("7b13", "7♭13", "1 3 5 b7 b13"),
    ("alt", "alt", "1 3 b7 b9 #9 #11 b13"),
)


@dataclass(frozen=True, slots=True)
class Quality:
    """A named chord quality: plain and printed suffix, and its degrees."""

    suffix: str
    printed: str
    degrees: tuple[Degree, ...]


QUALITIES = tuple(Quality(suffix, printed, degrees(row)) for suffix, printed, row in _QUALITY_ROWS)
BY_SUFFIX = {quality.suffix: quality for quality in QUALITIES}
BY_DEGREES = {quality.degrees: quality for quality in QUALITIES}

_THIRD, _MINOR_THIRD = Degree(3), Degree(3, -1)
_FIFTH, _FLAT_FIFTH = Degree(5), Degree(5, -1)
_SEVENTH, _FLAT_SEVENTH = Degree(7), Degree(7, -1)
_FLAT_NINTH, _SHARP_NINTH = Degree(9, -1), Degree(9, 1)


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord: a root, spelled degrees over it, and a bass.

    Two chords are equal when root, degrees and bass are, however they were typed.

    Parameters
    ----------
    root : Note
        Without an octave.
    degrees : tuple of Degree
        Ordered by number; each once.
    bass : Note
        The root unless another is asked for.

    Examples
    --------
    >>> chord = Chord.parse("F#7b9/B")
    >>> chord.root.name, chord.bass.name, chord.semitones
    ('F#', 'B', (0, 1, 4, 7, 10))
    >>> [note.name for note in Chord.parse("Ebdim7").tones]
    ['Eb', 'Gb', 'Bbb', 'Dbb']
    >>> Chord.parse("Cmin7") == Chord.parse("C-7"), str(Chord.parse("CΔ7"))
    (True, 'Cmaj7')
    """

    root: Note
    degrees: tuple[Degree, ...]
    bass: Note

    @classmethod
    def build(cls, root: Note, degrees: Iterable[Degree], bass: Note | None = None) -> Chord:
        """Return a chord of spelled degrees in any order, each kept once."""
        name = root.at(None)
        return cls(name, tuple(sorted(set(degrees))), name if bass is None else bass.at(None))

    @classmethod
    def of(cls, root: Note | str, suffix: str = "") -> Chord:
        """Return the chord of a root and a plain suffix of the table of qualities.

        Examples
        --------
        >>> Chord.of("Bb", "m7b5").symbol
        'Bbm7b5'
        """
        note = Note.parse(root) if isinstance(root, str) else root
        if suffix not in BY_SUFFIX:
            raise HarmonyError(
                f"{suffix!r} is no quality in the table", mend="Chord.parse reads other spellings"
            )
        return cls.build(note, BY_SUFFIX[suffix].degrees)

    @classmethod
    def parse(cls, text: str, dialect: Dialect | None = None) -> Chord:
        """Read a chord symbol as people type them.

        Raises
        ------
        HarmonyError
            With the symbol, a caret and near readings; also for N.C., which is no chord.
        """
        from harmonykit.theory.symbol import DEFAULT, read_symbol

        chord = read_symbol(text, dialect or DEFAULT).chord
        if chord is None:
            raise HarmonyError(
                f"{text!r} means that no chord sounds", mend="read_symbol(text).chord is None then"
            )
        return chord

    @property
    def semitones(self) -> tuple[int, ...]:
        """Semitones above the root, sorted, modulo 12, a foreign bass left out."""
        return tuple(sorted({degree.pitch_class for degree in self.degrees}))

    @property
    def pcs(self) -> PcSet:
        """The pitch-class set, a foreign bass left out."""
        root = self.root.pitch_class
        return PcSet.of(*((root + n) % 12 for n in self.semitones))

    @property
    def tones(self) -> tuple[Note, ...]:
        """The notes without octaves, root first, by rising degree, spelled by degree."""
        return tuple(degree.over(self.root) for degree in self.degrees)

    @property
    def symbol(self) -> str:
        """The shortest usual symbol in ASCII."""
        from harmonykit.theory.symbol import write_symbol

        return write_symbol(self)

    @property
    def unicode(self) -> str:
        """The symbol as printed, one run of text: ``"B♭m7♭5"``, ``"C♯°7"``.

        Examples
        --------
        >>> Chord.parse("Bbm7b5").unicode, Chord.parse("C#dim7/E").unicode
        ('B♭m7♭5', 'C♯°7/E')
        """
        from harmonykit.theory.symbol import write_symbol

        return write_symbol(self, "printed")

    @property
    def quality(self) -> str:
        """The symbol without root and bass, in ASCII."""
        from harmonykit.theory.symbol import suffix_of

        return suffix_of(self.degrees)

    @property
    def droppable(self) -> frozenset[int]:
        """Semitones of the tones that players leave out (common practice, no source)."""
        return _droppable(self.degrees)

    @property
    def is_dominant(self) -> bool:
        """Whether it has a major third and a minor seventh."""
        return _THIRD in self.degrees and _FLAT_SEVENTH in self.degrees

    @property
    def is_minor(self) -> bool:
        """Whether it has a minor third and no diminished fifth."""
        return _MINOR_THIRD in self.degrees and _FLAT_FIFTH not in self.degrees

    @property
    def is_diminished_seventh(self) -> bool:
        """Whether it is a diminished seventh chord."""
        return self.semitones == (0, 3, 6, 9)

    def degree_of(self, pitch_class: int) -> Degree | None:
        """Return the degree that sounds a pitch class, or None if none does."""
        above = (pitch_class - self.root.pitch_class) % 12
        return next((d for d in self.degrees if d.pitch_class == above), None)

    def spell(self, pitch_class: int) -> Note:
        """Return the name of a pitch class in this chord; a foreign note goes by its bass or root.

        Examples
        --------
        >>> Chord.parse("D7").spell(6).name, Chord.parse("F7/Eb").spell(3).name
        ('F#', 'Eb')
        """
        degree = self.degree_of(pitch_class)
        if degree is not None:
            return degree.over(self.root)
        if self.bass.pitch_class == pitch_class % 12:
            return self.bass
        low = self.root.fifths - 5
        return Note.from_fifths(low + (pitch_class * 7 - low) % 12)

    def transpose(self, interval: Interval) -> Chord:
        """Return the chord an interval away, spelled by the interval."""
        root, bass = self.root.transpose(interval), self.bass.transpose(interval)
        return replace(self, root=root.at(None), bass=bass.at(None))

    def over(self, bass: Note | None) -> Chord:
        """Return the same chord over another bass, or over its root for ``None``."""
        return replace(self, bass=self.root if bass is None else bass.at(None))

    def easy(self) -> Chord:
        """Return the chord with a root of at most one accidental."""
        return replace(self, root=self.root.plain(), bass=self.bass.plain())

    def __str__(self) -> str:
        return self.symbol

    def __repr__(self) -> str:
        return f"Chord.parse({self.symbol!r})"


# Which stacked tones players leave out beside the plain fifth: the third that clashes with a
# natural eleventh, and what the name's last number brings along without saying so.
_ALT = BY_SUFFIX["alt"].degrees
_NINTH, _ELEVENTH, _THIRTEENTH = Degree(9), Degree(11), Degree(13)


@lru_cache(maxsize=512)
def _droppable(found: tuple[Degree, ...]) -> frozenset[int]:
    if found == _ALT:
        return frozenset((0, 1, 3, 6, 8))
    drop = _stacked(frozenset(found))
    if _FIFTH in found and len(found) > 3:
        drop.add(_FIFTH)
    if {_THIRD, _FLAT_SEVENTH, _FLAT_NINTH} <= set(found) and _SHARP_NINTH not in found:
        drop.add(Degree(1))
    return frozenset(degree.pitch_class for degree in drop)


def _stacked(found: frozenset[Degree]) -> set[Degree]:
    if _THIRTEENTH in found:
        return {_NINTH, _ELEVENTH} & found
    if _ELEVENTH not in found or _NINTH not in found:
        return set()
    if _THIRD not in found:
        return {_NINTH}
    return {_THIRD} if _SEVENTH in found else {_THIRD, _NINTH}


def letter_below(letter: str, steps: int = 1) -> str:
    """Return the letter a number of steps below (above for negative steps).

    Examples
    --------
    >>> letter_below("C"), letter_below("B", -1)
    ('B', 'C')
    """
    return LETTERS[(LETTERS.index(letter) - steps) % 7]
