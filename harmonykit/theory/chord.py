"""Chords as spelled degrees over a root.

Conventions.  Semitones stand above the root and are taken modulo 12.  A bass that is not a tone of
the chord is *foreign*.  What sounds includes it: it is in ``pcs`` and ``notes``, and so in every
set, distance, statement and name; ``semitones``, ``degrees`` and ``tones`` tell of the chord above
it and leave it out.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from harmonykit.errors import HarmonyError, need_text, wrong_kind
from harmonykit.theory.degree import Degree, degrees
from harmonykit.theory.interval import Interval
from harmonykit.theory.note import Note, as_note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect
from harmonykit.theory.symbols.quality import BY_DEGREES, BY_SUFFIX, QUALITIES, Quality, droppable
from harmonykit.theory.symbols.said import Said
from harmonykit.theory.symbols.symbol import suffix_of, understand, write_symbol
from harmonykit.values import dataclass, replace

# With what a chord is made of: who imports it takes these from here too.
__all__ = [
    "BY_DEGREES", "BY_SUFFIX", "QUALITIES", "Chord", "Degree", "Interval", "Note", "PcSet",
    "Quality", "degrees",
]  # fmt: skip

_THIRD, _MINOR_THIRD = Degree(3), Degree(3, -1)
_FLAT_FIFTH, _FLAT_SEVENTH = Degree(5, -1), Degree(7, -1)


@dataclass(frozen=True, slots=True)
class Chord(Said):
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
    >>> chord = hk.Chord.parse("F#7b9/B")
    >>> chord.root.name, chord.bass.name, chord.semitones
    ('F#', 'B', (0, 1, 4, 7, 10))
    >>> [note.name for note in hk.Chord.parse("Ebdim7").tones]
    ['Eb', 'Gb', 'Bbb', 'Dbb']
    >>> hk.Chord.parse("Cmin7") == hk.Chord.parse("C-7"), str(hk.Chord.parse("CΔ7"))
    (True, 'Cmaj7')
    >>> chord.pcs, chord.quality, sorted(chord.droppable), str(chord.degree_of(7))
    (PcSet.of(1, 4, 6, 7, 10, 11), '7b9', [0, 7], 'b9')
    >>> chord.is_dominant, chord.is_minor, chord.is_diminished_seventh
    (True, False, False)
    >>> chord.transpose("m2"), chord.over(None), hk.Chord.parse("Bbbm").easy()
    (Chord.parse('G7b9/C'), Chord.parse('F#7b9'), Chord.parse('Am'))
    >>> hk.Chord.build(hk.Note.parse("D"), map(hk.Degree.parse, "145")).symbol
    'Dsus4'
    """

    @classmethod
    def build(cls, root: Note, degrees: Iterable[Degree], bass: Note | None = None) -> Chord:
        """Return a chord of spelled degrees in any order, each kept once.

        Parameters
        ----------
        root : Note
            Without an octave.
        degrees : iterable of Degree
            In any order.
        bass : Note, optional
            The root where not given.

        Returns
        -------
        Chord

        Raises
        ------
        HarmonyError
            If ``degrees`` holds anything else.

        Examples
        --------
        >>> degrees = [hk.Degree.parse(text) for text in ("6", "1", "3", "5")]
        >>> hk.Chord.build(hk.Note.parse("C"), degrees).symbol
        'C6'
        """
        if isinstance(degrees, str) or not isinstance(degrees, Iterable):
            raise wrong_kind(degrees, "the degrees of a chord", "[Degree(1), Degree(3)]")
        return cls(root, tuple(degrees), root if bass is None else bass)

    @classmethod
    def of(cls, root: Note | str, suffix: str = "") -> Chord:
        """Return the chord of a root and a plain suffix of the table of qualities.

        Parameters
        ----------
        root : Note or str
            Without an octave.
        suffix : str
            Of the table of qualities: ``"m7"``.

        Returns
        -------
        Chord

        Raises
        ------
        HarmonyError
            If the suffix is not in the table.

        Examples
        --------
        >>> hk.Chord.of("Bb", "m7b5").symbol
        'Bbm7b5'
        """
        note = as_note(root)
        if need_text(suffix, "a suffix from the table of qualities", '"m7"') not in BY_SUFFIX:
            raise HarmonyError(
                f"{suffix!r} is not a quality in the table",
                mend="Chord.parse reads other spellings",
            )
        return cls.build(note, BY_SUFFIX[suffix].degrees)

    @classmethod
    def parse(cls, text: str, dialect: Dialect = DEFAULT) -> Chord:
        """Read a chord symbol as people type them.

        Parameters
        ----------
        text : str
        dialect : Dialect
            How to read what schools write alike and mean differently.

        Returns
        -------
        Chord

        Raises
        ------
        HarmonyError
            If it cannot be read, with a caret and near readings; also for N.C.

        Examples
        --------
        >>> [str(note) for note in hk.Chord.parse("Ebm7b5").tones]
        ['Eb', 'Gb', 'Bbb', 'Db']
        """
        said = understand(text, dialect).said
        if said is None:
            raise HarmonyError(
                f"{text!r} means that no chord sounds",
                mend="read_symbol(text).chord, which is None here",
            )
        return cls(said.root, said.degrees, said.bass)

    @property
    def semitones(self) -> tuple[int, ...]:
        """Semitones above the root, sorted, modulo 12, a foreign bass left out."""
        return _semitones(self.degrees)

    @property
    def pcs(self) -> PcSet:
        """The pitch-class set of all that sounds, the bass included.

        Examples
        --------
        >>> hk.Chord.parse("C/D").pcs, hk.Chord.parse("C/Bb").pcs == hk.Chord.parse("C7").pcs
        (PcSet.of(0, 2, 4, 7), True)
        """
        return _sounding(self.degrees, self.root.pitch_class, self.bass.pitch_class)

    @property
    def foreign_bass(self) -> Note | None:
        """The bass where it is not a tone of the chord, else ``None``.

        Examples
        --------
        >>> [hk.Chord.parse(name).foreign_bass for name in ("C/D", "C/E", "A7(no1)")]
        [Note.parse('D'), None, None]
        """
        if self.bass.pitch_class == self.root.pitch_class:
            return None  # the root itself, also where the chord is written without it
        return None if self.degree_of(self.bass.pitch_class) else self.bass

    @property
    def tones(self) -> tuple[Note, ...]:
        """The notes without octaves, root first, by rising degree, spelled by degree."""
        return tuple(degree.over(self.root) for degree in self.degrees)

    @property
    def notes(self) -> tuple[Note, ...]:
        """The notes of all that sounds: the tones, a foreign bass before them.

        Examples
        --------
        >>> [note.name for note in hk.Chord.parse("C/D").notes]
        ['D', 'C', 'E', 'G']
        """
        return self.tones if self.foreign_bass is None else (self.bass, *self.tones)

    @property
    def symbol(self) -> str:
        """The shortest usual symbol in ASCII."""
        return write_symbol(self)

    @property
    def unicode(self) -> str:
        """The symbol as printed, one run of text: ``"B♭m7♭5"``, ``"C♯°7"``.

        Examples
        --------
        >>> hk.Chord.parse("Bbm7b5").unicode, hk.Chord.parse("C#dim7/E").unicode
        ('B♭m7♭5', 'C♯°7/E')
        """
        return write_symbol(self, "printed")

    @property
    def quality(self) -> str:
        """The symbol without root and bass, in ASCII."""
        return suffix_of(self.degrees)

    @property
    def droppable(self) -> frozenset[int]:
        """Semitones of the tones that players leave out (common practice, no source)."""
        return droppable(self.degrees)

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
        """Whether it is a diminished seventh chord, over one of its own notes."""
        return self.semitones == (0, 3, 6, 9) and self.foreign_bass is None

    def degree_of(self, pitch_class: int) -> Degree | None:
        """Return the degree that sounds a pitch class, or None if none does.

        Parameters
        ----------
        pitch_class : int
            C = 0 to B = 11.

        Returns
        -------
        Degree or None

        Examples
        --------
        >>> hk.Chord.parse("C7").degree_of(10), hk.Chord.parse("C7").degree_of(11)
        (Degree.parse('b7'), None)
        """
        above = (pitch_class - self.root.pitch_class) % 12
        return next((d for d in self.degrees if d.pitch_class == above), None)

    def spell(self, pitch_class: int) -> Note:
        """Return the name of a pitch class in this chord; a foreign note goes by its bass or root.

        Parameters
        ----------
        pitch_class : int
            C = 0 to B = 11.

        Returns
        -------
        Note

        Examples
        --------
        >>> hk.Chord.parse("D7").spell(6).name, hk.Chord.parse("F7/Eb").spell(3).name
        ('F#', 'Eb')
        """
        degree = self.degree_of(pitch_class)
        if degree is not None:
            return degree.over(self.root)
        if self.bass.pitch_class == pitch_class % 12:
            return self.bass
        low = self.root.fifths - 5
        return Note.from_fifths(low + (pitch_class * 7 - low) % 12)

    def transpose(self, interval: Interval | str) -> Chord:
        """Return the chord an interval away, spelled by the interval.

        Parameters
        ----------
        interval : Interval or str
            ``"M2"`` is up, ``"-P5"`` down.

        Returns
        -------
        Chord

        Examples
        --------
        >>> hk.Chord.parse("Bb7").transpose("m3").symbol
        'Db7'
        """
        root, bass = self.root.transpose(interval), self.bass.transpose(interval)
        return replace(self, root=root, bass=bass)

    def over(self, bass: Note | None) -> Chord:
        """Return the same chord over another bass, or over its root for ``None``.

        Parameters
        ----------
        bass : Note or None
            The root where not given.

        Returns
        -------
        Chord

        Examples
        --------
        >>> over_e = hk.Chord.parse("C").over(hk.Note.parse("E"))
        >>> over_e.symbol, over_e.over(None).symbol
        ('C/E', 'C')
        """
        return replace(self, bass=self.root if bass is None else bass)

    def easy(self) -> Chord:
        """Return the chord with a root of at most one accidental.

        Returns
        -------
        Chord
        """
        return replace(self, root=self.root.plain(), bass=self.bass.plain())

    def __str__(self) -> str:
        return self.symbol

    def __repr__(self) -> str:
        try:
            return f"Chord.parse({self.symbol!r})"
        except HarmonyError:  # degrees that no symbol says
            return f"Chord({self.root!r}, {self.degrees!r}, {self.bass!r})"


@dataclass(frozen=True, slots=True)
class Reading:
    """What a symbol was read as, and what some schools read otherwise.

    Parameters
    ----------
    chord : Chord or None
        ``None`` where no chord sounds (N.C.).
    doubts : tuple of str
    """

    chord: Chord | None
    doubts: tuple[str, ...] = ()


def read_symbol(text: str, dialect: Dialect = DEFAULT) -> Reading:
    """Read a chord symbol as people type them.

    Parameters
    ----------
    text : str
        A symbol such as ``"Bbm7b5"``, ``"C6/9"``, ``"F♯7(♭9)/B"`` or ``"N.C."``.
    dialect : Dialect
        Settings for what schools read differently.

    Returns
    -------
    Reading
        The chord (None for N.C.) and the doubts that were met.

    Raises
    ------
    HarmonyError
        With a caret at the first character that does not fit, and near readings.

    Examples
    --------
    >>> hk.read_symbol("Cdim").chord, hk.read_symbol("Cdim", hk.Dialect(dim="triad")).chord
    (Chord.parse('Cdim7'), Chord.parse('Cmb5'))
    >>> hk.read_symbol("Cdim").doubts
    ('dim without a number is read as the seventh chord; some mean the triad',)
    >>> hk.read_symbol("N.C.").chord is None
    True
    """
    meaning = understand(text, dialect)
    said = meaning.said
    chord = None if said is None else Chord(said.root, said.degrees, said.bass)
    return Reading(chord, meaning.doubts)


@lru_cache(maxsize=2048)
def _semitones(found: tuple[Degree, ...]) -> tuple[int, ...]:
    return tuple(sorted({degree.pitch_class for degree in found}))


@lru_cache(maxsize=4096)
def _sounding(found: tuple[Degree, ...], root: int, bass: int) -> PcSet:
    below = () if bass == root else (bass,)
    return PcSet.of(*((root + semitones) % 12 for semitones in _semitones(found)), *below)
