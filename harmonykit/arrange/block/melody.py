"""A melody in chords, the melody as the highest pitch, in the octave in which it lies best.

Where chords stand, and which, ``plan`` decides; ``playing`` has the shapes.  Where the melody
rests, nothing sounds.  A tune that lies better in another octave is played there as a whole, by
``octave``.

What this does not do: it adds no bass and no second voice.

What cannot be as planned is listed, with what was done instead, the first of these that can be:

1. a note over no chord, or that no chord of the plan has: the note alone on one string;
2. a note that cannot be the top of all strings (or of four, where there are more): fewer strings,
   two at least, that still say the chord, or its triad;
3. a single note below the lowest string or above the highest fret: another octave for it alone,
   the nearer first;
4. a note that cannot be played at all: silence.

``raised_by`` says in how much higher a key every note could be the top of all strings.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from harmonykit.arrange.arrangement import Arrangement, Step, Tune
from harmonykit.arrange.block.plan import plan, plan_every_note
from harmonykit.arrange.block.playing import FEWEST, SILENT, Maker, Played, held
from harmonykit.arrange.block.stretches import ALONE as NOTE_ALONE
from harmonykit.arrange.block.stretches import CHORD, Stretch
from harmonykit.arrange.weights import Weights
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.chord import Chord, Note
from harmonykit.values import dataclass, replace

_FULL = 4
# Below B3 a melody lies over a thick chord; fingers lie easily up to this fret.
_LOWEST_MELODY, _EASY_FRET = 59, 12
_OCTAVES = (0, -1, 1, -2, 2)
# Where many strings have the same notes they are played low on the neck; set by hand, as players
# do: with less, every third chord of a tune on the guitar lay beyond fret 12.
_ALOFT = 8


def raised_by(tune: Tune, instrument: Instrument, limits: Limits) -> int:
    """Return the least transposition in which every note can be on top of all strings."""
    pitches = [sung.note.midi for sung in tune.melody]
    lowest, highest = _reach(instrument, limits)
    for up in range(12 * 4):
        if min(pitches) + up >= lowest:
            return up if max(pitches) + up <= highest else -1
    return -1


def best_octave(tune: Tune, instrument: Instrument, limits: Limits) -> int:
    """Return the octave for a tune in which it lies best; as written, if no other is better.

    A note that lies low or high counts one against it, one that cannot be played ten.
    """
    lowest, highest = min(instrument.midi), _reach(instrument, limits)[1]
    above = min(highest, max(instrument.midi) + _EASY_FRET)
    easy = range(max(lowest, _LOWEST_MELODY), above + 1)

    def against(octave: int) -> int:
        pitches = [sung.note.midi + 12 * octave for sung in tune.melody]
        return sum((pitch not in easy) + 9 * (not lowest <= pitch <= highest) for pitch in pitches)

    return min(_OCTAVES, key=against)


def _reach(instrument: Instrument, limits: Limits) -> tuple[int, int]:
    """Return the lowest and the highest pitch that can be on top of all strings, or of four."""
    opened = instrument.midi
    lowest = max(opened) if len(opened) <= _FULL else _lowest_of_four(instrument)
    top = min(limits.max_fret, instrument.frets)
    highest = (top + pitch - at for pitch, at in zip(opened, instrument.first_frets, strict=True))
    return lowest, max(highest)


def _lowest_of_four(instrument: Instrument) -> int:
    """Return the lowest top of four neighbouring strings, all open."""
    strings = instrument.midi
    return min(max(strings[n : n + _FULL]) for n in range(len(strings) - _FULL + 1))


MOVE = "melody on top"

_HIGHEST_FRET = 15


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
    alone : int
        How many melody notes are played on one string, as planned.
    """

    arrangement: Arrangement
    listed: tuple[Listed, ...]
    raised_by: int
    octave: int = 0
    alone: int = 0

    @property
    def notes(self) -> int:
        """How many stretches of one melody note over one chord there are."""
        return len(self.arrangement.sounding) + sum(one.done == SILENT for one in self.listed)

    @property
    def chords(self) -> int:
        """How many chords are struck: shapes of two strings and more."""
        return sum(len(step.sounds) >= FEWEST for step in self.arrangement.sounding)


def melody_on_top(
    tune: TuneLike,
    instrument: InstrumentLike,
    *,
    limits: Limits | None = None,
    weights: Weights | None = None,
    every_note: bool = False,
    tempo: float | None = None,
    name: str = MOVE,
) -> OnTop:
    """Set a tune's melody in chords: shapes with the melody on top, and single notes between.

    Of all rows of shapes the cheapest by ``weights`` is taken.

    Parameters
    ----------
    tune : Tune, str or Path
    instrument : Instrument or str
    limits : Limits, optional
        What the hand may do; a wide hand up to fret 15 where not given.
    weights : Weights, optional
        What costs what; where not given, more for height where many strings can be chosen from.
    every_note : bool
        Whether every note has a chord, the two halves of the sixth-diminished scale by turns: a
        study, not an arrangement.
    tempo : float, optional
        Quarters a minute; the tune's own where not given.
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
    >>> [(str(s.chord), s.voicing and s.voicing.digits) for s in found.arrangement.steps]
    [('C6', '0-0-0-0'), ('Bdim7', '1-2-1-2'), ('C6', '2-4-3-3'), ('C6', 'x-x-x-5')]
    >>> study = hk.arrange.melody_on_top(tune, "ukulele", every_note=True)
    >>> [str(step.chord) for step in study.arrangement.steps]
    ['C6', 'Bdim7', 'C6', 'Bdim7']
    """
    tune, instrument = as_tune(tune), as_instrument(instrument)
    if not tune.melody:
        raise HarmonyError(f"{tune.title!r} has no melody", mend='melody = "..." in a section')
    prices = weights or Weights(aloft=_ALOFT)
    hand = limits or Limits(max_fret=min(_HIGHEST_FRET, instrument.frets))
    octave = best_octave(tune, instrument, hand)
    maker = Maker(instrument, hand, 12 * octave, every_note=every_note)
    pace = tune.tempo if tempo is None else tempo
    planned = plan_every_note(tune) if every_note else plan(tune, pace)
    row = held([maker.play(each) for each in planned])
    row, cost = maker.placed(row, prices)
    row = [*_ringing(row)]
    steps = [step for each in row for step in _steps(tune, each)]
    arrangement = Arrangement(tune, instrument, tuple(steps), cost, pace, name=name, limits=hand)
    listed = [
        Listed(each.at.sung.note, each.at.start, each.at.change.chord, each.done)
        for each in row
        if each.at.sung is not None and each.done
    ]
    alone = sum(each.at.kind == NOTE_ALONE and not each.done for each in row)
    return OnTop(arrangement, tuple(listed), raised_by(tune, instrument, hand), octave, alone)


def _ringing(row: Sequence[Played]) -> Iterator[Played]:
    """Yield stretches, a note alone under the chord that was struck before it and rings on."""
    struck: Stretch | None = None
    for each in row:
        at = each.at
        if at.kind != NOTE_ALONE:
            struck = at if at.kind == CHORD and at.chord else None
        elif struck and struck.change == at.change and _is_of(struck.chord, at.change.chord):
            each = replace(each, at=replace(at, chord=struck.chord))
        yield each


def _is_of(chord: Chord | None, written: Chord | None) -> bool:
    return chord is not None and written is not None and chord.root == written.root


def _steps(tune: Tune, each: Played) -> Iterator[Step]:
    """Yield a stretch as steps, cut at the bar lines."""
    at = each.at
    chord = at.chord if each.voicing is not None else None
    written = at.change.chord
    moved = chord is not None and bool(at.reason)
    for bar, played in enumerate(tune.playing):
        start = max(at.start, played.onset)
        stop = min(at.end, played.onset + played.bar.length)
        if start < stop:
            yield Step(
                chord,
                each.voicing,
                start,
                stop - start,
                bar,
                MOVE if moved else "",
                at.reason if moved else "",
                written,
            )
