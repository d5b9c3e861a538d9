"""Voicings: what a hand holds on an instrument; ``finding`` searches for all of a chord.

Conventions.  Strings are listed in the instrument's order; fret 0 is the open string and ``None``
a muted one.  Top and bass are the highest and the lowest *pitch*, which on a re-entrant
instrument need not be the outer strings.  A stretch is in millimetres, from wire to wire.
"""

from __future__ import annotations

from collections.abc import Iterable

from harmonykit.errors import HarmonyError, need_several, wrong_kind
from harmonykit.fretboard.hands import hand, holding
from harmonykit.fretboard.shapes.frettings import Fretting, read_digits, write_digits
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.values import dataclass

# With the instrument that a shape is held on: who imports it takes this from here too.
__all__ = [
    "Instrument", "InstrumentLike", "Voicing", "as_instrument", "as_voicing", "as_voicings",
    "pitches_of",
]  # fmt: skip

_MUTED = type(None)
# Black keys as charts name them most often (common practice, no source).
_USUAL_SHARPS = (1, 6)


@dataclass(frozen=True, slots=True)
class Voicing:
    """A shape on an instrument: one fret a string.

    Parameters
    ----------
    instrument : Instrument
    frets : tuple of int or None
        In string order; 0 open, ``None`` muted; at least one string sounds.

    Examples
    --------
    >>> shape = hk.Voicing.parse("2323", "ukulele")
    >>> shape.digits, shape.midi, shape.fingers
    ('2-3-2-3', (69, 63, 66, 72), (1, 3, 2, 4))
    >>> [str(note) for note in shape.spelled(hk.Chord.parse("D#dim7"))]
    ['A4', 'D#4', 'F#4', 'C5']
    """

    instrument: Instrument
    frets: Fretting

    def __post_init__(self) -> None:
        if not isinstance(self.instrument, Instrument):
            raise wrong_kind(self.instrument, "an instrument", 'Voicing.parse("0003", "ukulele")')
        if not isinstance(self.frets, tuple) or not {*map(type, self.frets)} <= {int, _MUTED}:
            mend = 'Voicing.parse("0003", "ukulele")'
            raise wrong_kind(self.frets, "a fret for each string, None for a muted one", mend)
        strings, top = self.instrument.midi, self.instrument.frets
        if len(self.frets) != len(strings):
            raise HarmonyError(
                f"{len(self.frets)} frets for {len(strings)} strings",
                rule=f"one fret for each string of the {self.instrument.name}, "
                "None for a muted one",
            )
        for string, fret in enumerate(self.frets):
            if fret is not None and not 0 <= fret <= top:
                raise HarmonyError(
                    f"fret {fret} is not on the neck", rule=f"its frets are 0 (open) to {top}"
                )
            if self.instrument.starts and fret:
                self.instrument.pitch(string, fret)  # a short string lacks some frets
        if all(fret is None for fret in self.frets):
            raise HarmonyError("every string is muted", rule="at least one string sounds")

    def __hash__(self) -> int:
        # Equal shapes have equal frets; the instrument's own hash would only cost time.
        return hash(self.frets)

    @classmethod
    def parse(cls, text: str, instrument: InstrumentLike = "ukulele") -> Voicing:
        """Read ``"1212"``, ``"x32010"``, or ``"10-12-10-12"`` for frets of two figures.

        Parameters
        ----------
        text : str
        instrument : Instrument or str
            Its name (``"ukulele"``) or its open strings will do; a ukulele where not given.

        Returns
        -------
        Voicing

        Raises
        ------
        HarmonyError
            If it has too few or too many strings, a fret beyond the neck, or something that is
            neither a fret nor x; with a caret under it.

        Examples
        --------
        >>> hk.Voicing.parse("10-12-10-12", "ukulele").top
        81
        """
        neck = as_instrument(instrument)
        return cls(neck, read_digits(text, neck))

    @property
    def digits(self) -> str:
        """The frets in string order: ``"1-2-1-2"``, x for a muted string."""
        return write_digits(self.frets)

    @property
    def midi(self) -> tuple[int | None, ...]:
        """The MIDI number of each string, ``None`` for a muted one."""
        pitch = self.instrument.pitch
        return tuple(
            None if fret is None else pitch(string, fret) for string, fret in enumerate(self.frets)
        )

    @property
    def sounding(self) -> tuple[int, ...]:
        """The MIDI numbers that sound, in string order, muted strings left out."""
        return pitches_of(self.instrument, self.frets)

    @property
    def pcs(self) -> PcSet:
        """The pitch classes that sound."""
        return PcSet.of(*(pitch % 12 for pitch in self.sounding))

    @property
    def top(self) -> int:
        """The MIDI number of the highest pitch."""
        return max(self.sounding)

    @property
    def lowest(self) -> int:
        """The MIDI number of the lowest pitch."""
        return min(self.sounding)

    @property
    def notes(self) -> tuple[Note | None, ...]:
        """The note of each string in its most usual spelling, ``None`` for a muted one.

        Examples
        --------
        >>> [note.name for note in hk.Voicing.parse("1112", "ukulele").notes if note]
        ['Ab', 'C#', 'F', 'B']
        """
        return tuple(None if pitch is None else _usual(pitch) for pitch in self.midi)

    def spelled(self, chord: ChordLike) -> tuple[Note | None, ...]:
        """Return the note of each string as the chord spells it, with its octave.

        Parameters
        ----------
        chord : Chord or str

        Returns
        -------
        tuple of Note or None

        Examples
        --------
        >>> shape = hk.Voicing.parse("1112", "ukulele")
        >>> [str(note) for note in shape.spelled(hk.Chord.parse("Db7"))]
        ['Ab4', 'Db4', 'F4', 'Cb5']
        """
        chord = as_chord(chord)
        return tuple(
            None if pitch is None else chord.spell(pitch % 12).at_pitch(pitch)
            for pitch in self.midi
        )

    @property
    def fretted(self) -> tuple[int, ...]:
        """The frets at which a string is stopped, in string order, open strings left out."""
        return tuple(fret for fret in self.frets if fret)

    @property
    def lowest_fret(self) -> int:
        """The lowest fretted fret; 0 where no string is fretted."""
        return min(self.fretted, default=0)

    @property
    def highest_fret(self) -> int:
        """The highest fretted fret; 0 where no string is fretted."""
        return max(self.fretted, default=0)

    @property
    def stretch_mm(self) -> float:
        """From the lowest to the highest fretted wire, in mm."""
        wire = self.instrument.wire_mm
        return wire(self.highest_fret) - wire(self.lowest_fret)

    @property
    def fingering(self) -> hand.Fingering | None:
        """The best fingering for a wide hand, or ``None`` where four fingers cannot hold it."""
        return holding.fit(self.frets, self.instrument, hand.Limits(max_fret=self.instrument.frets))

    @property
    def fingers(self) -> tuple[int | None, ...]:
        """The finger on each string, 1 (index) to 4; 0 open, ``None`` muted.

        Empty where four fingers cannot hold the shape.
        """
        return self.fingering.fingers if self.fingering else ()

    def __str__(self) -> str:
        return self.digits

    def __repr__(self) -> str:
        played_on = repr(self.instrument)
        if played_on == f"Instrument.named({self.instrument.name!r})":
            played_on = repr(self.instrument.name)
        return f"Voicing.parse({self.digits!r}, {played_on})"


def as_voicing(given: Voicing | str, instrument: InstrumentLike = "ukulele") -> Voicing:
    """Return a shape that was handed in as such, or as its frets on an instrument.

    Examples
    --------
    >>> as_voicing("0003").top
    72
    """
    if isinstance(given, Voicing):
        return given
    if isinstance(given, str):
        return Voicing.parse(given, instrument)
    raise wrong_kind(given, "a shape, or its frets as text", '"0003"')


def as_voicings(given: Iterable[Voicing | str]) -> list[Voicing]:
    """Return shapes handed in as such or as their frets on a ukulele.

    Raises
    ------
    HarmonyError
        If it is not a list of shapes.

    Examples
    --------
    >>> [shape.digits for shape in as_voicings(["0003", "2010"])]
    ['0-0-0-3', '2-0-1-0']
    """
    listed = need_several(given, "a list of shapes", '["0003", "2010"]')
    return [as_voicing(each) for each in listed]


def pitches_of(instrument: Instrument, frets: Fretting) -> tuple[int, ...]:
    """Return the MIDI numbers that sound, in string order, muted strings left out."""
    if instrument.starts:
        return tuple(instrument.pitch(s, fret) for s, fret in enumerate(frets) if fret is not None)
    pairs = zip(instrument.midi, frets, strict=True)
    return tuple([string + fret for string, fret in pairs if fret is not None])


def _usual(pitch: int) -> Note:
    return Note.from_midi(pitch, flats=pitch % 12 not in _USUAL_SHARPS)
