"""The search for the voicings of a chord on an instrument: those of chord books, or all."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from harmonykit.errors import need_flag, need_whole
from harmonykit.fretboard.given import InstrumentLike, as_instrument
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.hands.limits import Limits, as_limits
from harmonykit.fretboard.shapes.frettings import Fretting, frettings
from harmonykit.fretboard.shapes.marks import MANY_STRINGS
from harmonykit.fretboard.shapes.sieve import sieve_for
from harmonykit.fretboard.shapes.tones import Tone, above_root, keeps_altered, mask
from harmonykit.fretboard.shapes.usual import (
    PLAIN_SPAN,
    most_usual_first,
    spares_enough,
    usual_span,
    usual_tones,
)
from harmonykit.fretboard.shapes.voicing import Voicing, pitches_of
from harmonykit.fretboard.shapes.wanted import Wanted, as_wanted
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.given import ChordLike, as_chord


def find_voicings(
    chord: ChordLike,
    instrument: InstrumentLike,
    max_fret: int = 12,
    *,
    playable: bool = True,
    limits: Limits | None = None,
    wanted: Wanted | None = None,
) -> tuple[Voicing, ...]:
    """Return the shapes of a chord: those that players use, or all that there are.

    With ``playable`` the shapes are what a chord book prints, in its order (``usual``): a hand
    holds them, tones are left out as is customary for this kind of chord, strings of five and
    more may be muted, a written bass (the E of C/E) is lowest, and a 13 has no eleventh.  Each of
    these gives way to what is asked for.  Without ``playable`` every tone sounds, no string is
    muted, and shapes are sorted by frets, a muted string first, unless asked otherwise.

    The list is complete.  A foreign bass (the B of F#7/B) is not a tone of the
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
    playable : bool
        Whether the shapes are those that players use; a hand can hold them.
    limits : Limits, optional
        The hand; a wide one where not given.
    wanted : Wanted, optional
        What else the shapes should be like: bass, top, tones left out, muted and open strings,
        doublings, layout.

    Returns
    -------
    tuple of Voicing
        The most usual first; by frets where not ``playable``.

    Raises
    ------
    HarmonyError
        If something to be left out or doubled is not a tone of the chord, or a number is below 0.

    Examples
    --------
    >>> [shape.digits for shape in hk.find_voicings("G7", "ukulele", max_fret=5)]
    ['0-2-1-2', '4-5-3-5', '4-5-3-2', '0-5-3-2', '4-2-1-2']
    >>> outer = hk.fretboard.Wanted(top="C5", bass="C")
    >>> [shape.digits for shape in hk.find_voicings("C", "ukulele", 5, wanted=outer)]
    ['0-0-0-3']
    >>> [shape.digits for shape in hk.find_voicings("A", "guitar")[:2]]
    ['x-0-2-2-2-0', 'x-0-2-2-2-5']
    >>> movable = hk.fretboard.Wanted(layout="drop 2", mutes="outer", opens=False)
    >>> drops = hk.find_voicings("Fmaj7", "guitar", 5, wanted=movable)
    >>> sorted(shape.digits for shape in drops)
    ['1-3-2-2-x-x', 'x-3-3-2-5-x', 'x-x-2-2-1-1', 'x-x-3-5-5-5']
    """
    chord, instrument = as_chord(chord), as_instrument(instrument)
    max_fret = need_whole(max_fret, "max_fret", 0)
    need_flag(playable, "playable")
    wanted = as_wanted(wanted)
    bass, mutes, omit = wanted.bass, wanted.mutes, wanted.omitted
    strings, hand = len(instrument.strings), as_limits(limits, Limits(max_fret=max_fret))
    if playable and bass is None and chord.bass != chord.root:
        bass = chord.bass
    if mutes is None and playable and strings < MANY_STRINGS:
        for strung in ("none", "outer"):
            strict = replace(wanted, mutes=strung, bass=bass)
            found = find_voicings(chord, instrument, max_fret, limits=limits, wanted=strict)
            if found:
                break
        return found
    sieve = sieve_for(
        chord,
        mutes=playable if mutes is None else mutes,
        bass=bass,
        top=wanted.top,
        doubling=wanted.doubled,
        layout=wanted.layout,
    )
    must, may = _tones(chord, strings, playable=playable, omit=omit)
    foreign = 1 << (sieve.low or 0) % 12 if sieve.foreign else 0
    highest = min(max_fret, instrument.frets, hand.max_fret if playable else max_fret)
    apart = wanted.max_span
    if apart is None:
        apart = _span(instrument, playable=playable)
    shapes = frettings(
        instrument.midi,
        must | foreign,
        may | foreign,
        (highest, apart),
        mutes=sieve.muted != "none",
        starts=instrument.starts,
        opens=wanted.opens,
    )
    if not sieve.lets_all_through:
        shapes = [s for s in shapes if sieve.passes(s, pitches_of(instrument, s))]
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
    return mask(pitches_of(instrument, frets), 0)
