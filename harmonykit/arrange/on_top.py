"""A melody harmonised note by note, the melody as the highest pitch.

Each melody note is given the chord of the moment as its sixth-diminished scale has it: a note of
the scale's chord gets that chord, one of the diminished seventh gets the diminished seventh, so
that neighbours in the tune are harmonised by turns (common practice, no source).  The shape's
highest *pitch* is the melody; on a re-entrant instrument that need not be the last string.  On
more than four strings, four that lie side by side sound.  Where the melody rests, nothing sounds; a
note that is held over a change of chord is harmonised anew.  Over a dominant its flat ninth, which
the scale lacks, gets the leading-tone diminished: the dominant with that ninth, without its root.

A tune most of which lies out of reach is played in another octave as a whole, by ``octave``.

What this does not do: it adds no passing notes, no bass, no second voice and no other harmony, and
it changes shape with every note, however short.

What does not go by this rule is listed, with what was done instead, the first of these that can be:

1. a note outside the scale, or over no chord, or over a chord without such a scale: the chord as
   written if it has the note, else the note alone on one string;
2. a note that cannot be the top of all strings (or of four, where there are more): fewer strings;
3. a single note below the lowest string or above the highest fret: another octave for it alone,
   the nearer first;
4. a note that cannot be played at all: silence.

``raised_by`` says in how much higher a key every note could be the top of all strings.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.costs import Weights, cheapest_row
from harmonykit.arrange.slots import melody_between
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.given import InstrumentLike, as_instrument
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.voicing import Voicing, find_voicings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.diminished import approach
from harmonykit.theory.interval import Interval
from harmonykit.theory.note import Note
from harmonykit.theory.scale import scales_for
from harmonykit.tune.tune import Change, Sung, Tune

MOVE = "melody on top"
OUTSIDE = "outside the scale: the chord as written"
ALONE = "outside the scale: the note alone"
FEWER = "fewer strings"
OCTAVE = "another octave"
SILENT = "no place on the neck: silence"

_FULL = 4
_FIFTH_DOWN = Interval.parse("-P5")
_OCTAVES = (0, -1, 1, -2, 2)


@dataclass(frozen=True, slots=True)
class Listed:
    """A melody note that the rule does not hold for, and what was done."""

    note: Note
    onset: Fraction
    chord: Chord | None
    done: str


@dataclass(frozen=True, slots=True)
class OnTop:
    """A melody in chords.

    Parameters
    ----------
    arrangement : Arrangement
    listed : tuple of Listed
    raised_by : int
        Semitones by which the tune would be raised for every note to be the top of all strings;
        0 where that is so already, -1 where no key will do.
    octave : int
        Octaves by which the whole melody is played higher than written; -1 is one lower.
    """

    arrangement: Arrangement
    listed: tuple[Listed, ...]
    raised_by: int
    octave: int = 0

    @property
    def notes(self) -> int:
        """How many melody notes were harmonised, a note over two chords twice."""
        return len(self.arrangement.sounding) + sum(one.done == SILENT for one in self.listed)


def melody_on_top(
    tune: TuneLike,
    instrument: InstrumentLike,
    *,
    limits: Limits | None = None,
    weights: Weights | None = None,
    name: str = MOVE,
) -> OnTop:
    """Harmonise a tune's melody note by note, as shapes with the melody on top.

    Of all rows of shapes the cheapest by ``weights`` is taken.

    Parameters
    ----------
    tune : Tune, str or Path
    instrument : Instrument or str
    limits : Limits, optional
        What the hand may do; a wide hand where not given.
    weights : Weights, optional
        What costs what.
    name : str, optional
        What the arrangement is called.

    Returns
    -------
    OnTop

    Raises
    ------
    HarmonyError
        If the tune has no melody.

    Examples
    --------
    >>> tune = hk.Tune.parse('''
    ... format = 1
    ... title = "Capstan"
    ... key = "C"
    ... meter = "4/4"
    ... tempo = 90
    ... [[sections]]
    ... name = "A"
    ... changes = "| C6 |"
    ... melody = "| A4 B4 C5 D5 |"
    ... ''')
    >>> found = hk.arrange.melody_on_top(tune, "ukulele")
    >>> [str(step.chord) for step in found.arrangement.steps]
    ['C6', 'Bdim7', 'C6', 'Bdim7']
    >>> [step.voicing.top for step in found.arrangement.steps if step.voicing]
    [69, 71, 72, 74]
    """
    tune, instrument = as_tune(tune), as_instrument(instrument)
    if not tune.melody:
        raise HarmonyError(f"{tune.title!r} has no melody", mend='melody = "..." in a section')
    hand, prices = limits or Limits(), weights or Weights()
    octave = _best_octave(tune, instrument, hand)
    maker = _Maker(instrument, hand, 12 * octave)
    plans = [maker.plan(change, sung, start, end) for change, sung, start, end in _spans(tune)]
    shapes, cost = cheapest_row([plan.shapes for plan in plans], instrument, hand, prices)
    steps = [
        step
        for plan, voicing in zip(plans, shapes, strict=True)
        for step in _steps(tune, plan, voicing)
    ]
    arrangement = Arrangement(
        tune, instrument, tuple(steps), cost, tune.tempo, name=name, limits=hand
    )
    listed = [
        Listed(plan.sung.note, plan.start, plan.change.chord, plan.done)
        for plan in plans
        if plan.sung is not None and plan.done
    ]
    return OnTop(arrangement, tuple(listed), _raised_by(tune, instrument, hand), octave)


@dataclass(frozen=True, slots=True)
class _Plan:
    """A stretch of a tune under one chord and one melody note: what may be played there."""

    change: Change
    sung: Sung | None
    start: Fraction
    end: Fraction
    chord: Chord | None = None
    shapes: tuple[Voicing, ...] = ()
    reason: str = ""
    done: str = ""


def _spans(tune: Tune) -> Iterator[tuple[Change, Sung | None, Fraction, Fraction]]:
    """Yield the tune in stretches that have one chord and one melody note, or a rest."""
    melody = tune.melody
    for change in tune.changes:
        reached, end = change.onset, change.onset + change.beats
        for sung in melody_between(melody, reached, end):
            start, stop = max(sung.onset, reached), min(sung.onset + sung.beats, end)
            if stop <= start:
                continue
            if start > reached:
                yield change, None, reached, start
            yield change, sung, start, stop
            reached = stop
        if reached < end:
            yield change, None, reached, end


class _Maker:
    """What may be played under a melody note."""

    def __init__(self, instrument: Instrument, limits: Limits, shift: int) -> None:
        self.instrument, self.limits, self.shift = instrument, limits, shift

    def plan(self, change: Change, sung: Sung | None, start: Fraction, end: Fraction) -> _Plan:
        """Return chord and shapes for a stretch, by the rules of the module in their order."""
        if sung is None:
            return _Plan(change, None, start, end)
        chord, reason, done = _harmony(change.chord, sung.note)
        wanted = sung.note.midi + self.shift
        for pitch in _octaves(wanted):
            shapes, how = self._shapes(chord, pitch, alone=done == ALONE)
            if shapes:
                octave = OCTAVE if pitch != wanted else ""
                said = "; ".join(word for word in (done, octave, how) if word)
                return _Plan(change, sung, start, end, chord, shapes, reason, said)
        return _Plan(change, sung, start, end, done=SILENT)

    def _shapes(self, chord: Chord, pitch: int, *, alone: bool) -> tuple[tuple[Voicing, ...], str]:
        """Return the shapes with a pitch on top: on all strings, or on as many as can be."""
        if alone:
            return self._single(pitch), ""
        strings = len(self.instrument.strings)
        whole = self._find(chord, pitch, None, "any" if strings > _FULL else "none")
        full = tuple(v for v in whole if len(v.sounding) == min(_FULL, strings) and _in_a_row(v))
        if full:
            return full, ""
        parts = [v for v in self._find(chord, pitch, chord.semitones, "any") if _in_a_row(v)]
        most = max((len(v.sounding) for v in parts), default=0)
        return tuple(v for v in parts if len(v.sounding) == most), FEWER

    def _find(
        self, chord: Chord, pitch: int, omit: tuple[int, ...] | None, mutes: str
    ) -> tuple[Voicing, ...]:
        return find_voicings(
            chord.over(None),
            self.instrument,
            max_fret=self.limits.max_fret,
            omit=omit,
            mutes=mutes,
            top=pitch,
            limits=self.limits,
        )

    def _single(self, pitch: int) -> tuple[Voicing, ...]:
        """Return a pitch on each string that has it."""
        strings = self.instrument.midi
        top = min(self.limits.max_fret, self.instrument.frets)
        found = []
        for place, opened in enumerate(strings):
            if 0 <= pitch - opened <= top:
                frets = tuple(pitch - opened if n == place else None for n in range(len(strings)))
                if can_hold(frets, self.instrument, self.limits):
                    found.append(Voicing(self.instrument, frets))
        return tuple(found)


def _octaves(pitch: int) -> tuple[int, ...]:
    return pitch, pitch + 12, pitch - 12, pitch + 24, pitch - 24


def _in_a_row(voicing: Voicing) -> bool:
    sounding = [string for string, fret in enumerate(voicing.frets) if fret is not None]
    return len(sounding) == sounding[-1] - sounding[0] + 1


def _harmony(written: Chord | None, note: Note) -> tuple[Chord, str, str]:
    """Return the chord under a melody note, why, and what was done where it has no scale."""
    name = note.unicode
    alone = Chord.build(note, (Degree(1),)), f"The melody's {name} is played alone.", ALONE
    if written is None:
        return alone
    scales = scales_for(written)
    if scales and note.pitch_class in scales[0].chord.pcs:
        home = written if written.pcs == scales[0].chord.pcs else scales[0].chord
        return home, f"{home.unicode} has the melody's {name} on top.", ""
    if scales and note.pitch_class in scales[0].diminished.pcs:
        away = scales[0].diminished
        said = f"{away.unicode}, the other chord of the {scales[0]} scale"
        return away, f"{said}, has the melody's {name} on top.", ""
    if note.pitch_class in written.pcs:
        return written, f"{written.unicode} has the melody's {name} on top.", OUTSIDE
    if written.is_dominant and (note.pitch_class - written.root.pitch_class) % 12 == 1:
        ninth = approach(written.root.transpose(_FIFTH_DOWN))
        said = f"{ninth.unicode}, which is {written.unicode} with a flat ninth and without its root"
        return ninth, f"{said}, has the melody's {name} on top.", ""
    return alone


def _steps(tune: Tune, plan: _Plan, voicing: Voicing | None) -> Iterator[Step]:
    """Yield a plan as steps, cut at the bar lines."""
    chord = plan.chord if voicing is not None else None
    written = plan.change.chord
    moved = chord is not None and chord != written
    for bar, played in enumerate(tune.playing):
        start = max(plan.start, played.onset)
        stop = min(plan.end, played.onset + played.bar.length)
        if start < stop:
            yield Step(
                chord,
                voicing,
                start,
                stop - start,
                bar,
                MOVE if moved else "",
                plan.reason if moved else "",
                written,
            )


def _raised_by(tune: Tune, instrument: Instrument, limits: Limits) -> int:
    """Return the least transposition in which every note can be on top of all strings."""
    pitches = [sung.note.midi for sung in tune.melody]
    lowest, highest = _reach(instrument, limits)
    for up in range(12 * 4):
        if min(pitches) + up >= lowest:
            return up if max(pitches) + up <= highest else -1
    return -1


def _best_octave(tune: Tune, instrument: Instrument, limits: Limits) -> int:
    """Return the octave for a tune: as written, unless most of it lies out of reach there."""
    lowest, highest = min(instrument.midi), _reach(instrument, limits)[1]

    def reached(octave: int) -> int:
        return sum(lowest <= sung.note.midi + 12 * octave <= highest for sung in tune.melody)

    if 2 * reached(0) >= len(tune.melody):
        return 0
    return max(_OCTAVES, key=reached)


def _reach(instrument: Instrument, limits: Limits) -> tuple[int, int]:
    """Return the lowest and the highest pitch that can be on top of all strings, or of four."""
    opened = instrument.midi
    lowest = max(opened) if len(opened) <= _FULL else _lowest_of_four(instrument)
    return lowest, max(opened) + min(limits.max_fret, instrument.frets)


def _lowest_of_four(instrument: Instrument) -> int:
    """Return the lowest top of four neighbouring strings, all open."""
    strings = instrument.midi
    return min(max(strings[n : n + _FULL]) for n in range(len(strings) - _FULL + 1))
