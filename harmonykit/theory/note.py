"""Notes with names: letters, accidentals, octaves and the line of fifths.

Conventions.  Pitch classes are numbered C = 0 to B = 11.  Octaves follow scientific pitch
notation: C4 is middle C, MIDI 60, and the octave belongs to the *letter*, so that B#3 is MIDI 60
and Cb4 is MIDI 59.  On the line of fifths C = 0, G = 1, F = -1; a sharp adds 7.
An accidental is a whole number: flats are negative.
"""

from __future__ import annotations

import re

from harmonykit import errors
from harmonykit.errors import HarmonyError, Place
from harmonykit.theory.interval import LETTERS, SEMITONES, Interval, as_interval
from harmonykit.values import dataclass

__all__ = ["ACCIDENTALS", "LETTERS", "Interval", "Note", "printed_accidental"]

_LETTER_FIFTHS = (0, 2, 4, -1, 1, 3, 5)
_FIFTHS_LETTERS = "FCGDAEB"

# What people type for accidentals; "x" is the ASCII double sharp.
ACCIDENTALS = {
    "#": 1,
    "♯": 1,
    "＃": 1,
    "x": 2,
    "𝄪": 2,
    "b": -1,
    "♭": -1,
    "𝄫": -2,
    "♮": 0,
}
_NOTE = re.compile(r"([A-Ga-g])([#♯＃x𝄪b♭𝄫♮]*)(-?[0-9]{1,2})?")
_MOST_ACCIDENTALS = 6


@dataclass(frozen=True, slots=True)
class Note:
    """A spelled note: a letter, an accidental, and an octave where it has one.

    Parameters
    ----------
    letter : str in "CDEFGAB"
    accidental : int
        Semitones up from the natural letter; flats are negative.
    octave : int or None
        Scientific octave of the letter; ``None`` for a note name (a root, a bass, a tone).

    Examples
    --------
    >>> hk.Note.parse("B#3").midi, hk.Note.parse("Cb4").midi
    (60, 59)
    >>> hk.Note.parse("E♭"), str(hk.Note.parse("Bb3"))
    (Note.parse('Eb'), 'Bb3')
    >>> note = hk.Note.parse("Gb")
    >>> note.letter, note.accidental, note.accidentals, note.octave, note.pitch_class, note.fifths
    ('G', -1, 'b', None, 6, -6)
    >>> note.at(4).midi, str(note.at_pitch(54))
    (66, 'Gb3')
    """

    letter: str
    accidental: int = 0
    octave: int | None = None

    def __post_init__(self) -> None:
        if not isinstance(self.letter, str) or self.letter not in LETTERS or len(self.letter) != 1:
            raise HarmonyError(
                f"{self.letter!r} is not a note letter",
                rule="a note letter is a capital, A to G",
                mend='Note.parse("Bb3")',
            )

    @classmethod
    def parse(cls, text: str) -> Note:
        """Read a note name such as ``"Bb3"``, ``"F♯"`` or ``"Fx"``.

        Parameters
        ----------
        text : str

        Returns
        -------
        Note

        Raises
        ------
        HarmonyError
            If the text is not a letter A to G, accidentals, and an optional octave.

        Examples
        --------
        >>> hk.Note.parse("Bb3").midi, hk.Note.parse("Fx").pitch_class
        (58, 7)
        """
        cleaned = errors.need_text(text, "the name of a note", '"Bb"').strip()
        found = _NOTE.fullmatch(cleaned)
        if found is None:
            raise HarmonyError(
                f"{text!r} is not a note",
                place=Place("note name", 1, _first_misfit(cleaned), cleaned),
                rule="a note is a letter A to G, with # or b and an octave after it if needed",
                mend='"Bb3", "F#" or "C4"',
            )
        letter, signs, octave = found.groups()
        accidental = sum(ACCIDENTALS[sign] for sign in signs)
        if abs(accidental) > _MOST_ACCIDENTALS:
            raise HarmonyError(f"{text!r} has too many accidentals", mend=letter.upper())
        return cls(letter.upper(), accidental, None if octave is None else int(octave))

    @classmethod
    def spelled(cls, pitch_class: int, letter: str) -> Note:
        """Return the note on ``letter`` that sounds ``pitch_class``, with the fewest accidentals.

        Parameters
        ----------
        pitch_class : int
            C = 0 to B = 11.
        letter : str
            C to B.

        Returns
        -------
        Note

        Examples
        --------
        >>> hk.Note.spelled(10, "A").name, hk.Note.spelled(10, "B").name
        ('A#', 'Bb')
        """
        natural = SEMITONES[LETTERS.index(errors.need_one_of(letter, "letter", LETTERS))]
        return cls(letter, (errors.need_whole(pitch_class, "pitch_class") - natural + 6) % 12 - 6)

    @classmethod
    def from_fifths(cls, place: int, octave: int | None = None) -> Note:
        """Return the note at a place on the line of fifths (C = 0, G = 1, F = -1).

        Parameters
        ----------
        place : int
        octave : int, optional
            C4 is middle C; none for a name alone.

        Returns
        -------
        Note

        Raises
        ------
        HarmonyError
            If the place is not a whole number.

        Examples
        --------
        >>> [hk.Note.from_fifths(n).name for n in (-2, 0, 6, 8)]
        ['Bb', 'C', 'F#', 'G#']
        """
        try:
            sharps, index = divmod(place + 1, 7)
            letter = _FIFTHS_LETTERS[index]
        except TypeError:
            raise errors.wrong_kind(place, "a place on the line of fifths, C = 0", "1") from None
        return cls(letter, sharps, octave)

    @classmethod
    def from_midi(cls, midi: int, *, flats: bool = True) -> Note:
        """Return the plainest spelling of a MIDI number; black keys as flats or as sharps.

        Parameters
        ----------
        midi : int
            C4 is 60.
        flats : bool
            Whether black keys are flats.

        Returns
        -------
        Note

        Examples
        --------
        >>> str(hk.Note.from_midi(61)), str(hk.Note.from_midi(61, flats=False))
        ('Db4', 'C#4')
        """
        errors.need_whole(midi, "midi")
        low = (
            -6 if errors.need_flag(flats, "flats") else -1
        )  # from G flat to B, or from F to A sharp
        place = (midi * 7 - low) % 12 + low
        return cls.from_fifths(place).at_pitch(midi)

    @property
    def accidentals(self) -> str:
        """The accidental in ASCII: ``"bb"``, ``"b"``, ``""``, ``"#"``, ``"##"``."""
        return "#" * self.accidental if self.accidental > 0 else "b" * -self.accidental

    @property
    def name(self) -> str:
        """The name in ASCII, without the octave."""
        return self.letter + self.accidentals

    @property
    def unicode(self) -> str:
        """The name as printed, with ♭ ♯ 𝄫 𝄪 and without the octave.

        Examples
        --------
        >>> hk.Note.parse("Bbb").unicode, hk.Note.parse("F#").unicode
        ('B𝄫', 'F♯')
        """
        return self.letter + printed_accidental(self.accidental)

    @property
    def pitch_class(self) -> int:
        """The pitch class, 0 to 11."""
        return (SEMITONES[LETTERS.index(self.letter)] + self.accidental) % 12

    @property
    def fifths(self) -> int:
        """The place on the line of fifths."""
        return _LETTER_FIFTHS[LETTERS.index(self.letter)] + 7 * self.accidental

    @property
    def midi(self) -> int:
        """The MIDI number: C4 is 60.

        Raises
        ------
        HarmonyError
            If the note has no octave.
        """
        if self.octave is None:
            raise HarmonyError(
                f"{self.name} has no octave, so it has no pitch", mend=f'"{self.name}4"'
            )
        natural = SEMITONES[LETTERS.index(self.letter)]
        return 12 * (self.octave + 1) + natural + self.accidental

    def at(self, octave: int | None) -> Note:
        """Return the same name in another octave, or with none.

        Parameters
        ----------
        octave : int or None
            C4 is middle C; none for a name alone.

        Returns
        -------
        Note

        Examples
        --------
        >>> str(hk.Note.parse("Eb4").at(3)), str(hk.Note.parse("Eb4").at(None))
        ('Eb3', 'Eb')
        """
        return self if octave == self.octave else Note(self.letter, self.accidental, octave)

    def at_pitch(self, midi: int) -> Note:
        """Return this name with the octave that makes it sound ``midi``.

        Parameters
        ----------
        midi : int
            C4 is 60.

        Returns
        -------
        Note

        Raises
        ------
        HarmonyError
            If the name does not sound the pitch class of ``midi``.

        Examples
        --------
        >>> str(hk.Note.parse("C").at_pitch(60)), str(hk.Note.parse("B#").at_pitch(60))
        ('C4', 'B#3')
        """
        if (midi - self.pitch_class) % 12:
            raise HarmonyError(f"{self.name} is not the name of MIDI note {midi}")
        natural = midi - self.accidental
        return self.at(natural // 12 - 1)

    def transpose(self, interval: Interval | str) -> Note:
        """Return the note an interval away, spelled by the interval.

        Parameters
        ----------
        interval : Interval or str
            ``"M2"`` is up, ``"-P5"`` down.

        Returns
        -------
        Note

        Examples
        --------
        >>> hk.Note.parse("Db").transpose("M2").name
        'Eb'
        """
        interval = as_interval(interval)
        index = LETTERS.index(self.letter) + interval.steps
        octaves, place = divmod(index, 7)
        rise = 12 * octaves + SEMITONES[place]
        natural_rise = rise - SEMITONES[LETTERS.index(self.letter)]
        accidental = self.accidental + interval.semitones - natural_rise
        octave = None if self.octave is None else self.octave + octaves
        return Note(LETTERS[place], accidental, octave)

    def interval_to(self, other: Note | str) -> Interval:
        """Return the interval to another note; upward within an octave where octaves are missing.

        Parameters
        ----------
        other : Note or str

        Returns
        -------
        Interval

        Examples
        --------
        >>> hk.Note.parse("C").interval_to("Eb").name, hk.Note.parse("C4").interval_to("E5").name
        ('m3', 'M10')
        """
        other = as_note(other)
        steps = LETTERS.index(other.letter) - LETTERS.index(self.letter)
        if self.octave is not None and other.octave is not None:
            return Interval(steps + 7 * (other.octave - self.octave), other.midi - self.midi)
        octave = 1 if steps < 0 else 0
        return Interval(steps + 7 * octave, other.at(octave).midi - self.at(0).midi)

    def plain(self) -> Note:
        """Return the same pitch with at most one accidental, for easy reading.

        Returns
        -------
        Note

        Examples
        --------
        >>> hk.Note.parse("Bbb").plain().name, hk.Note.parse("E#").plain().name
        ('A', 'E#')
        """
        if abs(self.accidental) < 2:
            return self
        flat = self.accidental < 0
        name = Note.from_midi(60 + self.pitch_class, flats=flat).at(None)
        return name if self.octave is None else name.at_pitch(self.midi)

    def __str__(self) -> str:
        return self.name if self.octave is None else f"{self.name}{self.octave}"

    def __repr__(self) -> str:
        return f"Note.parse({str(self)!r})"


def as_note(given: Note | str) -> Note:
    """Return a note that was handed in as such or as its name.

    Examples
    --------
    >>> as_note("Bb")
    Note.parse('Bb')
    """
    if isinstance(given, Note):
        return given
    if isinstance(given, str):
        return Note.parse(given)
    raise errors.wrong_kind(given, "a note, or its name as text", '"Bb"')


def printed_accidental(accidental: int) -> str:
    """Return an accidental as printed, or nothing for a natural.

    Examples
    --------
    >>> [printed_accidental(n) for n in (-2, -1, 0, 1, 2)]
    ['𝄫', '♭', '', '♯', '𝄪']
    """
    doubles, single = divmod(abs(accidental), 2)
    double_sign, single_sign = ("𝄪", "♯") if accidental > 0 else ("𝄫", "♭")
    return single_sign * single + double_sign * doubles


def _first_misfit(text: str) -> int:
    """Return the column of the first character that cannot stand in a note name."""
    if not text or text[0].upper() not in LETTERS:
        return 1
    found = _NOTE.match(text)
    return (found.end() if found else 0) + 1
