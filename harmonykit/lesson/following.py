"""Where in a recording each beat of an arrangement is played.

Conventions.  Moments are those of ``sound.recording``.  A *pulse* is a beat, or what a change of
chords leaves of one.  The player's tempo is unknown and nearly steady; a beat may be short or long,
a bar may be waited for or left out, and anything may sound before the first bar and after the last.

The best way through is found exactly, pulse by pulse, for each of several tempi: the likeness of
what sounds to what is asked, against how far the beats are from even.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.sound.recording import STEP, Numbers
from harmonykit.tune.bar import beat_length
from harmonykit.values import dataclass

# From 0.4 of the level's tempo to 1.4 in steps of 12 %, then finer round the best.
_PACES = tuple(0.4 * 1.12**step for step in range(12))
_FINER = (1 / 1.06, 1 / 1.03, 1.0, 1.03, 1.06)
# A pulse may be so much shorter or longer than a steady one, and this is what uneven pulses cost:
# squares of the logarithm up to a limit.
_SHORT, _LONG, _UNEVEN, _MOST_UNEVEN = 0.5, 2.2, 0.12, 4.0
# What a quarter of something else costs, at the level's own tempo, is two of these logarithms.
_WEIGHT, _FLOOR, _OUTSIDE = 2.0, 0.05, 0.25
_WAIT, _LEAVE_OUT, _STROKE = 5.0, 16.0, 0.7
# To stop before the end, and for each bar that is left then.
_BREAK_OFF, _UNPLAYED = 12.0, 3.0
# Softer than this part of what is usual is silence.
_SILENT = 0.12


@dataclass(frozen=True, slots=True)
class Pulse:
    """A beat of an arrangement, or a part of one: whose step it is, and how long.

    Parameters
    ----------
    step : int
        The place of its step among the steps of the arrangement.
    bar : int
        In playing order from 0.
    beats : float
        In quarters.
    opens : bool
        Whether a bar begins with it.
    enters : bool
        Whether another chord begins with it.
    """

    step: int
    bar: int
    beats: float
    opens: bool
    enters: bool


@dataclass(frozen=True, slots=True)
class Followed:
    """Where each pulse begins and ends in a recording.

    Parameters
    ----------
    pulses : tuple of Pulse
    spans : tuple of (int, int)
        First moment of each pulse and the one after its last; the same where it was left out.
    pace : float
        The player's tempo as a part of the level's.
    worth : float
        How well it fits: higher is better.
    """

    pulses: tuple[Pulse, ...]
    spans: tuple[tuple[int, int], ...]
    pace: float
    worth: float


def pulses_of(way: Arrangement) -> tuple[Pulse, ...]:
    """Return the pulses of an arrangement in playing order."""
    found: list[Pulse] = []
    before: object = None
    for played, bar in zip(way.tune.playing, way.bars(), strict=True):
        beat = beat_length(played.bar.meter)
        for step in bar:
            index = way.steps.index(step)
            at, end = step.onset - played.onset, step.onset - played.onset + step.beats
            while at < end:
                after = min(end, (at // beat + 1) * beat)
                opens, enters = at == Fraction(0), step.voicing != before
                found.append(Pulse(index, step.bar, float(after - at), opens, enters))
                before, at = step.voicing, after
    return tuple(found)


def follow(
    pulses: tuple[Pulse, ...], tempo: float, fits: Numbers, columns: list[int], rises: Numbers
) -> Followed:
    """Find where each pulse is played.

    Parameters
    ----------
    pulses : tuple of Pulse
    tempo : float
        The level's, in quarters a minute.
    fits : array, moments by sounds
        How probable each sound is at each moment, from 0 to 1; not a number where it is silent.
    columns : list of int
        Which sound each pulse should have; -1 where nothing should sound.
    rises : array
        How much new there is at each moment.

    Returns
    -------
    Followed
    """
    silent = np.isnan(fits[:, 0])
    logs = np.log(_FLOOR + (1 - _FLOOR) * fits)
    logs[silent] = np.log(_OUTSIDE) / 2
    outside = np.where(silent, 0.0, np.log(_OUTSIDE))
    quarter = 60 / tempo / STEP
    weight = _WEIGHT / quarter
    sums, none = _summed(np.column_stack((logs, outside))) * weight, _summed(outside) * weight
    heard = _Heard(sums, none, rises, quarter)
    coarse = heard.halved()
    near = max(_PACES, key=lambda pace: _Way(pulses, columns, coarse, quarter / pace).worth)
    ways = (_Way(pulses, columns, heard, quarter / near / finer) for finer in _FINER)
    best = max(ways, key=lambda way: way.worth)
    return Followed(pulses, best.spans(), quarter / best.quarter, best.worth)


def _summed(rows: Numbers) -> Numbers:
    """Return the sums from the first moment up to each, beginning with 0."""
    return np.concatenate((np.zeros_like(rows[:1]), np.cumsum(rows, axis=0)))


@dataclass(frozen=True, slots=True)
class _Heard:
    """What is heard up to each moment: for each sound, for none, and how much is struck there."""

    sums: Numbers
    outside: Numbers
    rises: Numbers
    quarter: float
    moments: int = 1

    def halved(self) -> _Heard:
        """Return the same at every other moment."""
        rises = np.maximum(self.rises, np.append(self.rises[1:], 0.0))[::2]
        sums, outside = self.sums[::2], self.outside[::2]
        return _Heard(sums, outside, rises[: len(sums) - 1], self.quarter, 2 * self.moments)


class _Way:
    """The best way through a recording at one tempo: a quarter lasts so many moments.

    ``worth`` counts for each pulse how probable what is asked is, less what uneven pulses, waits
    and bars left out cost.
    """

    def __init__(
        self, pulses: tuple[Pulse, ...], columns: list[int], heard: _Heard, quarter: float
    ) -> None:
        self.pulses, self.quarter = pulses, quarter
        self._outside = heard.outside
        # A slow bar has more moments that can be wrong, so to leave it out costs more.
        self._slow = max(quarter / heard.quarter, 1.0)
        self._moment = heard.moments
        strokes = np.append(heard.rises, 0.0) * _STROKE
        self._lengths: list[NDArray[np.intp]] = []
        self._waited: dict[int, NDArray[np.intp]] = {}
        self._left_out: dict[int, NDArray[np.bool_]] = {}
        self._bars = [index for index, pulse in enumerate(pulses) if pulse.opens]
        self._ends: list[tuple[float, int, int]] = []
        opened: Numbers | None = None
        worth = self._outside.copy()
        for index, pulse in enumerate(pulses):
            if pulse.opens:
                worth = opened = self._bar_line(index, worth, opened)
            if pulse.opens or pulse.enters:
                worth = self._wait(index, worth)
            sums = heard.sums[:, columns[index]]
            worth = self._pulse(pulse, worth + strokes - sums) + sums
        self._end(len(pulses), worth, 0.0)
        self.worth, self._last, self._stop = max(self._ends)

    def _bar_line(self, index: int, worth: Numbers, opened: Numbers | None) -> Numbers:
        """Let the bar before be left out, or all from here on."""
        if opened is not None:
            without = opened - _LEAVE_OUT * self._slow
            self._left_out[index] = without > worth
            worth = np.maximum(worth, without)
            left = sum(bar >= index for bar in self._bars)
            self._end(index, worth, (_BREAK_OFF + _UNPLAYED * left) * self._slow)
        return worth

    def _end(self, index: int, worth: Numbers, cost: float) -> None:
        whole = worth + self._outside[-1] - self._outside - cost
        stop = int(whole.argmax())
        self._ends.append((float(whole[stop]), index, stop))

    def _wait(self, index: int, worth: Numbers) -> Numbers:
        """Let something else sound for a while before a pulse."""
        base = worth - self._outside
        highest = np.maximum.accumulate(base)
        places = np.maximum.accumulate(np.where(base >= highest, np.arange(len(base)), 0))
        waited = highest + self._outside - _WAIT
        self._waited[index] = np.where(waited > worth, places, np.arange(len(base)))
        return np.maximum(worth, waited)

    def _pulse(self, pulse: Pulse, worth: Numbers) -> Numbers:
        """Let a pulse last as long as is best for each moment at which it may end."""
        steady = self.quarter * pulse.beats / self._moment
        lengths = np.arange(max(int(_SHORT * steady), 1), int(_LONG * steady) + 2)
        uneven = np.minimum((np.log(lengths / steady) / _UNEVEN) ** 2 / 2, _MOST_UNEVEN)
        before = np.concatenate((np.full(lengths[-1], -np.inf), worth))
        # Each row ends where the pulse does; the longest comes first.
        rows = np.lib.stride_tricks.sliding_window_view(before, len(lengths))[: len(worth)]
        choices = rows - uneven[::-1]
        chosen = choices.argmax(axis=1)
        self._lengths.append(lengths[::-1][chosen])
        return np.asarray(choices[np.arange(len(chosen)), chosen])

    def spans(self) -> tuple[tuple[int, int], ...]:
        """Return the first moment of each pulse, and the one after its last."""
        index, moment = self._last, self._stop
        found = [(moment, moment)] * len(self.pulses)
        while index > 0:
            if index in self._left_out and self._left_out[index][moment]:
                before = self._bars[self._bars.index(index) - 1]
                found[before:index] = [(moment, moment)] * (index - before)
                index = before
                continue
            index -= 1
            start = moment - int(self._lengths[index][moment])
            found[index] = (start, moment)
            moment = int(self._waited[index][start]) if index in self._waited else start
        return tuple(found)
