"""Keys: tonic, mode, signature, scale, how each note is written; and how far a root falls.

A signature counts sharps as positive and flats as negative.  Each mode has twelve keys as
musicians write them: of two spellings the one with fewer accidentals; of G flat and F sharp major,
and of E flat and D sharp minor, that have six each, the flat one (common practice, no source).
"""

from __future__ import annotations

import re
from types import MappingProxyType
from typing import TYPE_CHECKING

from harmonykit.errors import HarmonyError, attempt, need_text
from harmonykit.theory.chord import Chord
from harmonykit.theory.interval import LETTERS
from harmonykit.theory.note import Interval, Note, as_note
from harmonykit.theory.symbols import dialect, roots, tokens
from harmonykit.values import dataclass

MODES = ("major", "minor")
_KEY = re.compile(r"\s*([A-Ga-g][#♯x𝄪b♭𝄫]*)\s*(.*?)\s*")
_SPOKEN = re.compile(r"(?<=[A-Ga-g])[ -]?(flat|sharp)\b", re.IGNORECASE)
_MODE_WORDS = {
    "": "major",
    "M": "major",
    "maj": "major",
    "major": "major",
    "m": "minor",
    "-": "minor",
    "min": "minor",
    "minor": "minor",
}
# Words for the modes in other languages; the first ones go with German names of notes.
_GERMAN_WORDS = {"dur": "major", "moll": "minor", "mol": "minor"}
_OTHER_WORDS = {
    **dict.fromkeys("majeur majeure mayor maggiore maior".split(), "major"),
    **dict.fromkeys("mineur mineure menor minore".split(), "minor"),
}
# The mode of the old modes whose third is the same, in the language in which it is named.
CHURCH_MODES = {
    **dict.fromkeys("ionian lydian mixolydian".split(), "major"),
    **dict.fromkeys("dorian phrygian aeolian locrian".split(), "minor"),
    **dict.fromkeys("ionisch lydisch mixolydisch".split(), "dur"),
    **dict.fromkeys("dorisch phrygisch äolisch lokrisch".split(), "moll"),
    **dict.fromkeys("lidio misolidio mixolidio lydien mixolydien".split(), "maggiore"),
    **dict.fromkeys("dórico dorico frigio dorien phrygien eolio éolien".split(), "minore"),
}
_MODAL = re.compile(
    rf"\s*(\S.*?)[\s-]*\b({'|'.join(CHURCH_MODES)})(?:[\s-]+mod[eou]s?)?\s*", re.IGNORECASE
)
_WORDED = re.compile(
    rf"\s*(.+?)[\s-]*\b({'|'.join((*_GERMAN_WORDS, *_OTHER_WORDS))})\s*", re.IGNORECASE
)
_MODE_STEPS = {
    "major": ("P1", "M2", "M3", "P4", "P5", "M6", "M7"),
    "minor": ("P1", "M2", "m3", "P4", "P5", "m6", "m7"),
}
TONICS = MappingProxyType(
    {
        "major": tuple("C Db D Eb E F Gb G Ab A Bb B".split()),
        "minor": tuple("C C# D Eb E F F# G G# A Bb B".split()),
    }
)
"""The names of the twelve tonics of each mode, by pitch class."""


# The farthest that a tune is moved down; seven semitones up are five down.
_LOWEST = -5
# The twelve spellings round a tonic, from its flat second to its raised fourth.
_FLATTEST = -5
_MOST_ACCIDENTALS = 6


@dataclass(frozen=True, slots=True)
class Key:
    """A major or minor key.

    Parameters
    ----------
    tonic : Note or str
        Without an octave; a text may name the mode too: ``"Am"``.
    mode : {"major", "minor"}

    Examples
    --------
    >>> key = hk.Key.parse("Bb major")
    >>> key == hk.Key("Bb"), key.signature, [note.name for note in key.scale]
    (True, -2, ['Bb', 'C', 'D', 'Eb', 'F', 'G', 'A'])
    >>> str(hk.Key.parse("F#m")), hk.Key.parse("C").spell(6).name
    ('F# minor', 'F#')
    >>> key.unicode, str(hk.Key.parse("C# major").readable())
    ('B♭ major', 'Db major')
    """

    tonic: Note
    mode: str = "major"

    if TYPE_CHECKING:
        # What a checker is to know: a text is read.
        def __init__(self, tonic: Note | str, mode: str = "major") -> None: ...

    def __post_init__(self) -> None:
        if isinstance(self.tonic, str) and self.mode == "major":
            whole = Key.parse(self.tonic)
            object.__setattr__(self, "tonic", whole.tonic)
            object.__setattr__(self, "mode", whole.mode)
        object.__setattr__(self, "tonic", as_note(self.tonic).at(None))
        if self.mode not in MODES:
            raise HarmonyError(f"{self.mode!r} is not a mode of a key", rule="major or minor")

    @classmethod
    def parse(cls, text: str) -> Key:
        """Read ``"C"``, ``"Am"``, ``"Bb major"`` or ``"f# minor"``.

        The mode may be said in German, French, Spanish, Italian or Portuguese, the tonic too:
        German B is B flat, and H is B.

        Parameters
        ----------
        text : str

        Returns
        -------
        Key

        Raises
        ------
        HarmonyError
            If the tonic or the mode cannot be read.

        Examples
        --------
        >>> [str(hk.Key.parse(key)) for key in ("a-Moll", "Es-Dur", "Si bémol mineur")]
        ['A minor', 'Eb major', 'Bb minor']
        """
        plain = _SPOKEN.sub(_typed_sign, need_text(text, "a key", '"Bb major"'))
        found = _KEY.fullmatch(plain)
        if (worded := _in_words(text)) is not None:
            return cls(*worded)
        mode = None
        if found is not None:
            word = found[2]
            mode = _MODE_WORDS.get(word) or _MODE_WORDS.get(word.lower())
        if modal := modal_key(text):
            raise HarmonyError(
                f"{text!r} is a mode, and a key is major or minor",
                rule=f"a tune in {text.strip()} is written as {modal[0]}, notes and all",
                mend=f'"{modal[0]}"',
            )
        if found is None or mode is None:
            raise HarmonyError(
                f"{text!r} is not a key",
                rule="a tonic, then major or minor",
                mend='"C" or "A minor"',
            )
        return cls(Note.parse(found[1]).at(None), mode)

    @property
    def signature(self) -> int:
        """Sharps in the key signature; flats are negative."""
        return self.tonic.fifths - (3 if self.mode == "minor" else 0)

    @property
    def scale(self) -> tuple[Note, ...]:
        """The seven notes from the tonic up; minor is natural minor."""
        return tuple(self.tonic.transpose(Interval.parse(n)) for n in _MODE_STEPS[self.mode])

    def spell(self, pitch_class: int) -> Note:
        """Return the name that this key gives a pitch class: ♭2 to ♯4 round the tonic.

        Parameters
        ----------
        pitch_class : int
            C = 0 to B = 11.

        Returns
        -------
        Note

        Examples
        --------
        >>> [key.spell(6).name for key in (hk.Key.parse("G"), hk.Key.parse("Db"))]
        ['F#', 'Gb']
        """
        low = self.tonic.fifths + _FLATTEST
        return Note.from_fifths(low + (pitch_class * 7 - low) % 12)

    def transpose(self, interval: Interval | str) -> Key:
        """Return the key an interval away, respelled if it would pass six accidentals.

        Parameters
        ----------
        interval : Interval or str
            ``"M2"`` is up, ``"-P5"`` down.

        Returns
        -------
        Key

        Examples
        --------
        >>> str(hk.Key.parse("B").transpose("M2"))
        'Db major'
        """
        return Key(self.tonic.transpose(interval).at(None), self.mode).readable()

    def readable(self) -> Key:
        """Return this key, or its enharmonic twin if it has more than six accidentals.

        Returns
        -------
        Key
        """
        over = abs(self.signature) > _MOST_ACCIDENTALS
        if not over:
            return self
        turn = -12 if self.signature > 0 else 12
        return Key(Note.from_fifths(self.tonic.fifths + turn), self.mode).readable()

    @property
    def unicode(self) -> str:
        """The key as printed: ``"B♭ major"``."""
        return f"{self.tonic.unicode} {self.mode}"

    def __str__(self) -> str:
        return f"{self.tonic.name} {self.mode}"

    def __repr__(self) -> str:
        return f"Key.parse({str(self)!r})"


def modal_key(text: str) -> tuple[Key, str] | None:
    """Return the key with the third of an old mode that a text names, and the mode as printed.

    Examples
    --------
    >>> modal_key("Bb dorian"), modal_key("h-phrygisch mode"), modal_key("A minor")
    ((Key.parse('Bb minor'), 'B♭ dorian'), (Key.parse('B minor'), 'B phrygisch'), None)
    """
    if (found := _MODAL.fullmatch(text)) is None:
        return None
    mode = found[2].lower()
    key = attempt(Key.parse, f"{found[1]} {CHURCH_MODES[mode]}")
    return (key, f"{key.tonic.unicode} {mode}") if key else None


def _typed_sign(found: re.Match[str]) -> str:
    return "b" if found[1].lower() == "flat" else "#"


def _in_words(text: str) -> tuple[Note, str] | None:
    """Return the tonic and the mode of a key that is named in another language; else none."""
    if (found := _WORDED.fullmatch(text)) is None:
        return None
    name, word = found[1], found[2].lower()
    name = name[0].upper() + name[1:]
    if word in _GERMAN_WORDS:
        ways = [dialect.Dialect(german=True)]
    else:
        ways = [dialect.Dialect(latin=True), dialect.Dialect()]
    for way in ways:
        try:
            root = roots.read_root(name, 0, way)
        except tokens.Misfit:
            continue
        if root.end == len(name):
            return root.note, _GERMAN_WORDS.get(word) or _OTHER_WORDS[word]
    return None


def key_on(pitch_class: int, mode: str) -> Key:
    """Return the key of a mode on a pitch class.

    Examples
    --------
    >>> str(key_on(1, "major")), str(key_on(1, "minor"))
    ('Db major', 'C# minor')
    """
    return Key(Note.parse(TONICS[mode][pitch_class]), mode)


def shift(start: Key, end: Key) -> Interval:
    """Return the nearest interval from one tonic to another: five semitones down to six up.

    Examples
    --------
    >>> [shift(Key.parse("F"), key_on(tonic, "major")).name for tonic in (0, 7, 11)]
    ['-P4', 'M2', 'A4']
    """
    rise = (end.tonic.pitch_class - start.tonic.pitch_class - _LOWEST) % 12 + _LOWEST
    letters = LETTERS.index(end.tonic.letter) - LETTERS.index(start.tonic.letter)
    # A whole octave has seven letters: the one nearest to the semitones is meant.
    return Interval(letters + 7 * round((rise * 7 / 12 - letters) / 7), rise)


def root_fall(chord: Chord, after: Chord) -> int:
    """Return by how many semitones the root falls to that of the next chord, from 0 to 11.

    Examples
    --------
    >>> [root_fall(Chord.parse("G7"), Chord.parse(name)) for name in ("C6", "F#7", "Am7")]
    [7, 1, 10]
    """
    return (chord.root.pitch_class - after.root.pitch_class) % 12


def falls_a_fifth(chord: Chord, after: Chord) -> bool:
    """Whether the root falls by a fifth, or rises by a fourth.

    Examples
    --------
    >>> falls_a_fifth(Chord.parse("Dm7"), Chord.parse("G7/B"))
    True
    """
    return root_fall(chord, after) == 7
