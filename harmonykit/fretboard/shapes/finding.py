"""The search for the voicings of a chord on an instrument: those of chord books, or all."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from harmonykit.errors import need_flag, need_whole
from harmonykit.fretboard.given import InstrumentLike, as_instrument, as_tones
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
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.given import ChordLike, as_chord


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
