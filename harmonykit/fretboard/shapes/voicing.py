"""Voicings: what a hand holds on an instrument, and the search for all of them.

Conventions.  Strings are listed in the instrument's order; fret 0 is the open string and ``None``
a muted one.  Top and bass are the highest and the lowest *pitch*, which on a re-entrant
instrument need not be the outer strings.  A stretch is in millimetres, from wire to wire.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from harmonykit.errors import HarmonyError, need_flag, need_whole, wrong_kind
from harmonykit.fretboard.given import InstrumentLike, as_instrument, as_tones
from harmonykit.fretboard.hands.fingering import Fingering
from harmonykit.fretboard.hands.holding import can_hold, fit
from harmonykit.fretboard.hands.limits import Limits, as_limits
from harmonykit.fretboard.shapes.digits import read_digits, write_digits
from harmonykit.fretboard.shapes.frettings import Fretting, frettings
from harmonykit.fretboard.shapes.sieve import sieve_for
from harmonykit.fretboard.shapes.tones import Tone, above_root, keeps_altered, mask
from harmonykit.fretboard.shapes.usual import (
    MANY_STRINGS,
    PLAIN_SPAN,
    most_usual_first,
    spares_enough,
    usual_span,
    usual_tones,
)
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet

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
        In string order; 0 open, ``None`` muted; one string at least sounds.

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
            raise wrong_kind(self.frets, "a fret for each string, None for a mute", mend)
        strings, top = self.instrument.midi, self.instrument.frets
        if len(self.frets) != len(strings):
            raise HarmonyError(
                f"{len(self.frets)} frets for {len(strings)} strings",
                rule=f"one fret for each string of the {self.instrument.name}, None for a mute",
            )
        for string, fret in enumerate(self.frets):
            if fret is not None and not 0 <= fret <= top:
                raise HarmonyError(
                    f"fret {fret} is not on the neck", rule=f"its frets are 0 (open) to {top}"
                )
            if self.instrument.starts and fret:
                self.instrument.pitch(string, fret)  # a short string lacks some frets
        if all(fret is None for fret in self.frets):
            raise HarmonyError("every string is muted", rule="one string at least sounds")

    def __hash__(self) -> int:
        # Equal shapes have equal frets; the instrument's own hash would only cost time.
        return hash(self.frets)

    @classmethod
    def parse(cls, text: str, instrument: InstrumentLike) -> Voicing:
        """Read ``"1212"``, ``"x32010"``, or ``"10-12-10-12"`` for frets of two figures.

        Parameters
        ----------
        text : str
        instrument : Instrument or str
            Its name (``"ukulele"``) or its open strings will do.

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
        return _sounding(self.instrument, self.frets)

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
    def fingering(self) -> Fingering | None:
        """The best fingering of a wide hand, or ``None`` where four fingers cannot hold it."""
        return fit(self.frets, self.instrument, Limits(max_fret=self.instrument.frets))

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


def find_voicings(
    chord: ChordLike,
    instrument: InstrumentLike,
    max_fret: int = 12,
    max_span: int | None = None,
    *,
    playable: bool = True,
    omit: Iterable[Tone | Degree] | str | None = None,
    mutes: bool | str | None = None,
    bass: Tone | None = None,
    top: Tone | None = None,
    limits: Limits | None = None,
    opens: bool = True,
    doubling: bool | Iterable[Tone | Degree] | str = True,
    layout: str | None = None,
) -> tuple[Voicing, ...]:
    """Return the shapes of a chord: those that players use, or all that there are.

    With ``playable`` the shapes are what a chord book prints, in its order (``usual``): a hand
    holds them, tones are left out as is customary for this kind of chord, strings of five and
    more may be muted, a written bass (the E of C/E) is lowest, and a 13 has no eleventh.  Each of
    these gives way to what is asked for.  Without ``playable`` every tone sounds, no string is
    muted, and shapes are sorted by frets, a muted string first, unless asked otherwise.

    The list is whole: nothing is capped.  A foreign bass (the B of F#7/B) is not a tone of the
    chord, so it sounds as the lowest pitch alone, and without ``playable`` only if ``bass`` asks
    for it.

    Parameters
    ----------
    chord : Chord or str
        A chord or its symbol: ``"C9"``.
    instrument : Instrument or str
        Its name (``"ukulele"``) or its open strings (``"D4 F#4 A4 D5"``) will do.
    max_fret : int
        The highest fret; the neck's end where that comes first.
    max_span : int, optional
        The highest minus the lowest fretted fret, open strings being free; 3 where not given, and
        5 for playable shapes on strings a fifth apart.
    playable : bool
        Whether the shapes are those that players use; a hand can hold them.
    omit : iterable of int, Degree, Note or str, optional
        Tones that need not sound (they still may): semitones above the root, degrees
        (``"5"``), or note names (``"E"``).  The customary ones where not
        given and ``playable``; ``()`` for none.
    mutes : bool or {"none", "any", "outer", "inner"}, optional
        Which strings may be muted: none (``False``), any (``True``), only those outside all that
        sound, or only those between.  Where not given and ``playable``, any of five strings and
        more, and of fewer the outer ones if there is no shape without.
    bass, top : Note, str or int, optional
        What the lowest and the highest *pitch* must be: a note name or pitch class for any
        octave; a note with an octave, or a MIDI number from 12 up, for that very pitch.
    limits : Limits, optional
        The hand; a wide one where not given.
    opens : bool
        Whether strings may sound open; shapes without can be moved along the neck.
    doubling : bool, or iterable as ``omit``
        Whether tones may sound on two strings or more, or which of them may.
    layout : {"close", "open", "drop 2", "drop 3", "drop 2 and 4"}, optional
        How the notes lie.

    Returns
    -------
    tuple of Voicing
        The most usual first; by frets where not ``playable``.

    Raises
    ------
    HarmonyError
        If something in ``omit`` or ``doubling`` is not a tone of the chord, a limit is below 0, or
        ``mutes`` or ``layout`` is not such a word.

    Examples
    --------
    >>> [shape.digits for shape in hk.find_voicings("G7", "ukulele", max_fret=5)]
    ['0-2-1-2', '4-5-3-5', '4-5-3-2', '0-5-3-2', '4-2-1-2']
    >>> [shape.digits for shape in hk.find_voicings("C", "ukulele", 5, top="C5", bass="C")]
    ['0-0-0-3']
    >>> [shape.digits for shape in hk.find_voicings("A", "guitar")[:2]]
    ['x-0-2-2-2-0', 'x-0-2-2-2-5']
    >>> drops = hk.find_voicings("Fmaj7", "guitar", 5, mutes="outer", layout="drop 2", opens=False)
    >>> sorted(shape.digits for shape in drops)
    ['1-3-2-2-x-x', 'x-3-3-2-5-x', 'x-x-2-2-1-1', 'x-x-3-5-5-5']
    """
    chord, instrument = as_chord(chord), as_instrument(instrument)
    max_fret = need_whole(max_fret, "max_fret", 0)
    max_span = None if max_span is None else need_whole(max_span, "max_span", 0)
    need_flag(playable, "playable")
    need_flag(opens, "opens")
    omit = None if omit is None else as_tones(omit, "omit")
    doubling = doubling if isinstance(doubling, bool) else as_tones(doubling, "doubling")
    strings, hand = len(instrument.strings), as_limits(limits, Limits(max_fret=max_fret))
    if playable and bass is None and chord.bass != chord.root:
        bass = chord.bass
    if mutes is None and playable and strings < MANY_STRINGS:
        asked: dict[str, Any] = {
            "omit": omit,
            "bass": bass,
            "top": top,
            "limits": limits,
            "opens": opens,
            "doubling": doubling,
            "layout": layout,
        }
        for strung in ("none", "outer"):
            found = find_voicings(chord, instrument, max_fret, max_span, mutes=strung, **asked)
            if found:
                break
        return found
    if mutes is None:
        mutes = playable
    sieve = sieve_for(chord, mutes=mutes, bass=bass, top=top, doubling=doubling, layout=layout)
    must, may = _tones(chord, strings, playable=playable, omit=omit)
    foreign = 1 << (sieve.low or 0) % 12 if sieve.foreign else 0
    highest = min(max_fret, instrument.frets, hand.max_fret if playable else max_fret)
    apart = _span(instrument, playable=playable) if max_span is None else max_span
    shapes = frettings(
        instrument.midi,
        must | foreign,
        may | foreign,
        (highest, apart),
        mutes=sieve.muted != "none",
        starts=instrument.starts,
        opens=opens,
    )
    if not sieve.lets_all_through:
        shapes = [s for s in shapes if sieve.passes(s, _sounding(instrument, s))]
    if playable:
        shapes = [s for s in shapes if can_hold(s, instrument, hand)]
        if omit is None and not must >> chord.root.pitch_class & 1:
            shapes = [s for s in shapes if spares_enough(chord, strings, _heard(instrument, s))]
        if omit is None:
            shapes = [s for s in shapes if keeps_altered(chord, strings, _heard(instrument, s))]
        shapes = most_usual_first(chord, instrument, shapes)
    return tuple(Voicing(instrument, shape) for shape in shapes)


def _tones(
    chord: Chord, strings: int, *, playable: bool, omit: Iterable[Tone | Degree] | None
) -> tuple[int, int]:
    """Return which pitch classes must and which may sound, as bit masks."""
    root = chord.root.pitch_class
    must = may = mask(chord.semitones, root)
    if playable:
        must, may = usual_tones(chord, strings)
    if omit is not None:
        must = may & ~mask((above_root(chord, tone) for tone in omit), root)
    return must, may


def _span(instrument: Instrument, *, playable: bool) -> int:
    return usual_span(instrument) if playable else PLAIN_SPAN


def _heard(instrument: Instrument, frets: Fretting) -> int:
    """Return the bit mask of the pitch classes that sound."""
    return mask(_sounding(instrument, frets), 0)


def _sounding(instrument: Instrument, frets: Fretting) -> tuple[int, ...]:
    if instrument.starts:
        return tuple(instrument.pitch(s, fret) for s, fret in enumerate(frets) if fret is not None)
    pairs = zip(instrument.midi, frets, strict=True)
    return tuple(string + fret for string, fret in pairs if fret is not None)


def _usual(pitch: int) -> Note:
    return Note.from_midi(pitch, flats=pitch % 12 not in _USUAL_SHARPS)
