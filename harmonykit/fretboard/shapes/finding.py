"""The search for the voicings of a chord: those of chord books, or all; and what may be asked."""

from __future__ import annotations

from collections.abc import Iterable

from harmonykit.errors import need_flag, need_whole, wrong_kind
from harmonykit.fretboard.hands.hand import Limits, as_limits
from harmonykit.fretboard.hands.holding import held
from harmonykit.fretboard.shapes import marks, textures, tones
from harmonykit.fretboard.shapes.frettings import Fretting, frettings
from harmonykit.fretboard.shapes.sieve import muted_strings, sieve_for
from harmonykit.fretboard.shapes.tones import Tone
from harmonykit.fretboard.shapes.voicing import Voicing, pitches_of
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.theory.typed import as_typed
from harmonykit.values import dataclass, replace


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the shapes of a chord should be like; what is not said is as players have it.

    Parameters
    ----------
    bass, top : Note, str or int, optional
        What the lowest and the highest *pitch* must be: a note name or pitch class for any
        octave; a note with an octave, or a MIDI number from 12 up, for that very pitch.
    omit : iterable of int, Degree, Note or str, optional
        Tones that need not sound (they still may): semitones above the root, degrees
        (``"5"``), or note names (``"E"``).  The customary ones where not given, and the shapes
        are those that players use; ``()`` for none.
    mutes : bool or {"none", "any", "outer", "inner"}, optional
        Which strings may be muted: none (``False``), any (``True``), only those outside all that
        sound, or only those between.  Where not given, none; of the shapes that players use, any
        of five strings and more, and of fewer the outer ones if there is no shape without.
    doubling : bool, or iterable as ``omit``
        Whether tones may sound on two strings or more, or which of them may.
    opens : bool
        Whether strings may sound open; shapes without can be moved along the neck.
    layout : {"close", "open", "drop 2", "drop 3", "drop 2 and 4"}, optional
        How the notes lie.
    max_span : int, optional
        The highest minus the lowest fretted fret, open strings being free; 3 where not given, and
        5 for shapes that players use on strings a fifth apart.

    Raises
    ------
    HarmonyError
        If a word is unknown, or something is not a tone or a note.

    Examples
    --------
    >>> hk.fretboard.Wanted(bass="C", top="C5")
    Wanted(bass='C', top='C5')
    """

    bass: Tone | None = None
    top: Tone | None = None
    omit: Iterable[Tone | Degree] | str | None = None
    mutes: bool | str | None = None
    doubling: bool | Iterable[Tone | Degree] | str = True
    opens: bool = True
    layout: str | None = None
    max_span: int | None = None

    def __post_init__(self) -> None:
        tones.asked_pitch(self.bass), tones.asked_pitch(self.top)
        need_flag(self.opens, "opens")
        if self.omit is not None:
            object.__setattr__(self, "omit", tones.as_tones(self.omit, "omit"))
        if not isinstance(self.doubling, bool):
            object.__setattr__(self, "doubling", tones.as_tones(self.doubling, "doubling"))
        if self.mutes is not None:
            muted_strings(asked=self.mutes)
        if self.layout is not None:
            textures.check_layout(self.layout)
        if self.max_span is not None:
            need_whole(self.max_span, "max_span", 0)

    def __repr__(self) -> str:
        return as_typed(self)

    @property
    def omitted(self) -> tuple[Tone | Degree, ...] | None:
        """The tones that need not sound, where they are given."""
        return None if self.omit is None else tones.as_tones(self.omit, "omit")

    @property
    def doubled(self) -> bool | tuple[Tone | Degree, ...]:
        """Whether tones may be doubled, or which."""
        given = self.doubling
        return given if isinstance(given, bool) else tones.as_tones(given, "doubling")


def as_wanted(given: Wanted | None) -> Wanted:
    """Return what was asked of a shape, or what is usual.

    Raises
    ------
    WrongKind
        If it is of another kind.

    Examples
    --------
    >>> as_wanted(None)
    Wanted()
    """
    if given is None:
        return Wanted()
    if isinstance(given, Wanted):
        return given
    raise wrong_kind(given, "what the shapes should be like", 'Wanted(bass="C", mutes="outer")')


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

    With ``playable`` the shapes are what a chord book prints, in its order: a hand
    holds them, tones are left out as is customary for this kind of chord, strings of five and
    more may be muted, a written bass (the E of C/E) is lowest, and a 13 has no eleventh.  What is
    asked for overrides each of these.  Without ``playable`` every tone sounds, no string is
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
    hand = as_limits(limits, Limits(max_fret=max_fret))
    shapes = unordered(
        chord, instrument, max_fret, hand, playable=playable, wanted=as_wanted(wanted)
    )
    if playable:
        shapes = marks.most_usual_first(chord, instrument, shapes)
    return tuple(Voicing(instrument, shape) for shape in shapes)


def unordered(
    chord: Chord,
    instrument: Instrument,
    max_fret: int,
    hand: Limits,
    *,
    playable: bool = True,
    wanted: Wanted,
) -> list[Fretting]:
    """Return the shapes that ``find_voicings`` puts in order, by frets.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> unordered(Chord.parse("G7"), ukulele, 2, Limits(), wanted=Wanted())
    [(0, 2, 1, 2)]
    """
    bass, mutes, omit = wanted.bass, wanted.mutes, wanted.omitted
    strings = len(instrument.strings)
    if playable and bass is None and chord.bass != chord.root:
        bass = chord.bass
    if mutes is None and playable and strings < marks.MANY_STRINGS:
        for strung in ("none", "outer"):
            strict = replace(wanted, mutes=strung, bass=bass)
            found = unordered(chord, instrument, max_fret, hand, wanted=strict)
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
    if playable and omit is None:
        rooted = bool(must >> chord.root.pitch_class & 1)
        heard = [_heard(instrument, shape) for shape in shapes]
        enough = {tones for tones in set(heard) if _is_enough(chord, strings, tones, rooted=rooted)}
        shapes = [shape for shape, tones in zip(shapes, heard, strict=True) if tones in enough]
    return held(shapes, instrument, hand) if playable else shapes


def _is_enough(chord: Chord, strings: int, heard: int, *, rooted: bool) -> bool:
    """Whether the tones of a shape that is sure to have the root, or may lack it, say the chord."""
    enough = rooted or marks.spares_enough(chord, strings, heard)
    return enough and tones.keeps_altered(chord, strings, heard)


def _tones(
    chord: Chord, strings: int, *, playable: bool, omit: Iterable[Tone | Degree] | None
) -> tuple[int, int]:
    """Return which pitch classes must and which may sound, as bit masks."""
    root = chord.root.pitch_class
    must = may = tones.mask(chord.semitones, root)
    if playable:
        must, may = marks.usual_tones(chord, strings)
    if omit is not None:
        must = may & ~tones.mask((tones.above_root(chord, tone) for tone in omit), root)
    return must, may


def _span(instrument: Instrument, *, playable: bool) -> int:
    return marks.usual_span(instrument) if playable else marks.PLAIN_SPAN


def _heard(instrument: Instrument, frets: Fretting) -> int:
    """Return the bit mask of the pitch classes that sound."""
    return tones.mask(pitches_of(instrument, frets), 0)
