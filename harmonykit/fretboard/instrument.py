"""Fretted instruments: strings, frets and the length of the scale.

Conventions.  Strings are listed in the instrument's own order, left to right as in a chord box:
g C E A on a ukulele, E A D G B E on a guitar; string 0 is the first of them.  Fret 0 is the open
string.  Lengths are in millimetres from the nut.  A string that sounds higher than the next one is
*re-entrant*; its label is a lower-case letter.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from harmonykit.errors import HarmonyError, Place
from harmonykit.theory.note import Note

FEWEST_STRINGS, MOST_STRINGS = 3, 10
MOST_FRETS = 36
FAMILIES = ("ukulele", "guitar")
# A finger stands this far behind the wire, where the fret leaves it room (common practice).
_BEHIND_THE_WIRE_MM = 6.0
# C0 to C8: below nothing is heard as a note, above no string is strung.
_LOWEST_MIDI, _HIGHEST_MIDI = 12, 108


@dataclass(frozen=True, slots=True)
class Instrument:
    """Strings over a neck.

    Parameters
    ----------
    name : str
        What it is called; a typed tuning is called by its strings.
    strings : tuple of Note
        3 to 10 open strings with octaves, in string order.
    scale_mm : float
        From nut to bridge, in mm.
    frets : int in 1..36
        How many frets the neck has.
    family : {"ukulele", "guitar"}
        Whose table of levels holds for it.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> ukulele.midi, ukulele.tuning, ukulele.reentrant
    ((67, 60, 64, 69), 'g C E A', True)
    >>> Instrument.parse("D2 A2 D3 G3 B3 E4").labels
    ('D', 'A', 'D', 'G', 'B', 'E')
    """

    name: str
    strings: tuple[Note, ...]
    scale_mm: float = 381.0
    frets: int = 15
    family: str = "ukulele"
    midi: tuple[int, ...] = field(init=False, repr=False, compare=False)
    """The MIDI numbers of the open strings, in string order."""

    def __post_init__(self) -> None:
        _check_strings(self.strings)
        _check_neck(self)
        object.__setattr__(self, "midi", tuple(note.midi for note in self.strings))

    def __hash__(self) -> int:
        # Instruments are parts of every shape: hashing all their notes each time is felt.
        return hash((self.name, self.scale_mm, self.frets))

    @classmethod
    def named(cls, name: str) -> Instrument:
        """Return an instrument of ``data/instruments.toml`` by its name, whatever its case.

        Raises
        ------
        HarmonyError
            If there is none such; the message lists near names.

        Examples
        --------
        >>> Instrument.named("Baritone Ukulele").tuning
        'D G B E'
        """
        from harmonykit.fretboard.shipped import find_instrument

        return find_instrument(name)

    @classmethod
    def parse(
        cls,
        text: str,
        name: str = "",
        scale_mm: float | None = None,
        frets: int | None = None,
    ) -> Instrument:
        """Read open strings such as ``"G4 C4 E4 A4"``, 3 to 10 of them, octaves written.

        What is not given is taken from the instrument by name whose lowest string is the nearest
        in pitch: a guess, since strings do not tell how long they are.

        Raises
        ------
        HarmonyError
            If a string is no note or has no octave, or if there are too few or too many; with
            a caret under the string.

        Examples
        --------
        >>> Instrument.parse("G3 D4 A4 E5", name="mandolin", scale_mm=350).reentrant
        False
        """
        from harmonykit.fretboard.shipped import nearest_instrument

        strings = read_strings(text)
        like = nearest_instrument(min(note.midi for note in strings))
        return replace(
            like,
            name=name or " ".join(map(str, strings)),
            strings=strings,
            scale_mm=like.scale_mm if scale_mm is None else scale_mm,
            frets=like.frets if frets is None else frets,
        )

    @property
    def labels(self) -> tuple[str, ...]:
        """The strings' names without octaves, a lower-case letter where re-entrant."""
        nexts = (*self.midi[1:], _HIGHEST_MIDI + 1)
        return tuple(
            note.letter.lower() + note.accidentals if midi > after else note.name
            for note, midi, after in zip(self.strings, self.midi, nexts, strict=True)
        )

    @property
    def reentrant(self) -> bool:
        """Whether some string sounds higher than the next."""
        return any(low > high for low, high in zip(self.midi, self.midi[1:], strict=False))

    @property
    def tuning(self) -> str:
        """The labels in one text: ``"g C E A"``."""
        return " ".join(self.labels)

    def wire_mm(self, fret: int) -> float:
        """Return the distance of a fret's wire from the nut, in mm; 0 for the open string.

        Each fret takes the same ratio of the string that is left: scale × (1 − 2^(−fret/12)).

        References
        ----------
        Buckland, "Rule of 18 vs 17.817", Guild of American Luthiers, 2021.

        Examples
        --------
        >>> round(Instrument.named("ukulele").wire_mm(12), 1)
        190.5
        """
        return float(self.scale_mm * (1 - 2 ** (-fret / 12)))

    def finger_mm(self, fret: int) -> float:
        """Return where the finger stands for a fret, in mm from the nut; 0 for the open string.

        It stands 6 mm behind the wire; high up, where frets are narrow, in the middle between
        two wires (common practice, no source).
        """
        if fret == 0:
            return 0.0
        wire, before = self.wire_mm(fret), self.wire_mm(fret - 1)
        return max(wire - _BEHIND_THE_WIRE_MM, (wire + before) / 2)

    def __repr__(self) -> str:
        strings = " ".join(map(str, self.strings))
        neck = f"scale_mm={self.scale_mm}, frets={self.frets}"
        return f"Instrument.parse({strings!r}, {self.name!r}, {neck})"


def _check_strings(strings: tuple[Note, ...]) -> None:
    if not FEWEST_STRINGS <= len(strings) <= MOST_STRINGS:
        raise HarmonyError(
            f"{len(strings)} {'string' if len(strings) == 1 else 'strings'} given",
            rule=f"an instrument has {FEWEST_STRINGS} to {MOST_STRINGS} strings",
            mend='"G4 C4 E4 A4"',
        )
    for note in strings:
        if note.octave is None or not _LOWEST_MIDI <= note.midi <= _HIGHEST_MIDI:
            raise HarmonyError(
                f"the string {note} has no pitch that a string can have",
                rule="an open string is written with its octave, C0 to C8; C4 is middle C",
                mend=f'"{note.at(4)}"',
            )


def _check_neck(instrument: Instrument) -> None:
    if not 100 <= instrument.scale_mm <= 2000:
        raise HarmonyError(
            f"a scale of {instrument.scale_mm} mm", rule="from nut to bridge: 100 to 2000 mm"
        )
    if not 1 <= instrument.frets <= MOST_FRETS:
        raise HarmonyError(f"{instrument.frets} frets", rule=f"a neck has 1 to {MOST_FRETS} frets")
    if instrument.family not in FAMILIES:
        raise HarmonyError(
            f"the family {instrument.family!r} is not known",
            rule=f"it is one of {', '.join(FAMILIES)}",
        )


def read_strings(text: str) -> tuple[Note, ...]:
    """Return the open strings of a typed tuning, parted by spaces or commas.

    Raises
    ------
    HarmonyError
        With a caret under the string that does not fit.

    Examples
    --------
    >>> [note.midi for note in read_strings("D3 G3 B3 E4")]
    [50, 55, 59, 64]
    """
    found = tuple(re.finditer(r"[^\s,]+", text))
    strings = tuple(_read_string(part.group(), part.start() + 1, text) for part in found)
    try:
        _check_strings(strings)
    except HarmonyError as error:
        raise error.at(Place("tuning", 1, _misfit(strings, found), text)) from None
    return strings


def _misfit(strings: tuple[Note, ...], found: tuple[re.Match[str], ...]) -> int:
    """Return the column of the first string that is too many or out of range, else the end."""
    for place, (note, part) in enumerate(zip(strings, found, strict=True)):
        if place >= MOST_STRINGS or not _LOWEST_MIDI <= note.midi <= _HIGHEST_MIDI:
            return part.start() + 1
    return found[-1].end() + 1 if found else 1


def _read_string(part: str, column: int, text: str) -> Note:
    try:
        note = Note.parse(part)
    except HarmonyError as error:
        inner = error.place.column if error.place and error.place.column else 1
        place = Place("tuning", 1, column + inner - 1, text)
        raise HarmonyError(
            f"{part!r} is no string",
            place=place,
            rule='a string is a note with its octave, strings are parted by spaces: "G4 C4 E4 A4"',
        ) from None
    if note.octave is None:
        raise HarmonyError(
            f"the string {part!r} has no octave",
            place=Place("tuning", 1, column, text),
            rule="an open string is written with its octave; C4 is middle C",
            mend=f'"{note.at(4)}", or an instrument by its name: Instrument.named("ukulele")',
        )
    return note
