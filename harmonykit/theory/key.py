"""Keys: a tonic and a mode, the signature, the scale, and how a key writes each pitch class.

A signature counts sharps as positive and flats as negative.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from harmonykit.errors import HarmonyError, need_text
from harmonykit.theory.note import Interval, Note

MODES = ("major", "minor")
_KEY = re.compile(r"\s*([A-Ga-g][#♯x𝄪b♭𝄫]*)\s*(.*?)\s*")
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
_MODE_STEPS = {
    "major": ("P1", "M2", "M3", "P4", "P5", "M6", "M7"),
    "minor": ("P1", "M2", "m3", "P4", "P5", "m6", "m7"),
}
# The twelve spellings round a tonic, from its flat second to its raised fourth.
_FLATTEST = -5
_MOST_ACCIDENTALS = 6


@dataclass(frozen=True, slots=True)
class Key:
    """A major or minor key.

    Examples
    --------
    >>> key = Key.parse("Bb major")
    >>> key.signature, [note.name for note in key.scale]
    (-2, ['Bb', 'C', 'D', 'Eb', 'F', 'G', 'A'])
    >>> str(Key.parse("F#m")), Key.parse("C").spell(6).name
    ('F# minor', 'F#')
    >>> key.unicode, str(Key.parse("C# major").readable())
    ('B♭ major', 'Db major')
    """

    tonic: Note
    mode: str = "major"

    def __post_init__(self) -> None:
        if self.mode not in MODES:
            raise HarmonyError(f"{self.mode!r} is no mode of a key", rule="major or minor")

    @classmethod
    def parse(cls, text: str) -> Key:
        """Read ``"C"``, ``"Am"``, ``"Bb major"`` or ``"f# minor"``.

        Raises
        ------
        HarmonyError
            If the tonic or the mode cannot be read.
        """
        found = _KEY.fullmatch(need_text(text, "a key", '"Bb major"'))
        mode = None
        if found is not None:
            word = found[2]
            mode = _MODE_WORDS.get(word) or _MODE_WORDS.get(word.lower())
        if found is None or mode is None:
            raise HarmonyError(
                f"{text!r} is no key", rule="a tonic, then major or minor", mend='"C" or "A minor"'
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
        """Return the name that this key gives a pitch class: ♭2 to ♯4 round the tonic."""
        low = self.tonic.fifths + _FLATTEST
        return Note.from_fifths(low + (pitch_class * 7 - low) % 12)

    def transpose(self, interval: Interval | str) -> Key:
        """Return the key an interval away, respelled if it would pass six accidentals.

        Examples
        --------
        >>> str(Key.parse("B").transpose("M2"))
        'Db major'
        """
        return Key(self.tonic.transpose(interval).at(None), self.mode).readable()

    def readable(self) -> Key:
        """Return this key, or its enharmonic twin if it has more than six accidentals."""
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
