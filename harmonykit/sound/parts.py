"""What melody, clicks and tuning notes play; ``strumming`` has the strings, ``bass_line`` the bass.

Conventions.  Times are seconds from the start of what is heard.  Each function yields the events of
one part; they need not be in order.
"""

import math
from collections.abc import Iterator
from fractions import Fraction

from harmonykit.sound.performance import CLICK, HIGH_BLOCK, LOW_BLOCK, TONE, Event
from harmonykit.sound.spans import string_beats
from harmonykit.sound.stage import Stage
from harmonykit.tune.bar import Meter, bar_length, beat_length

_COUNT_VELOCITY, _CLICK_VELOCITY = (112, 88), (56, 40)
TUNING_VELOCITY = 96
_MELODY_VELOCITY = 84
_CLICK_SECONDS = 0.03


def sung(stage: Stage) -> Iterator[Event]:
    """Yield the melody."""
    first, bar = stage.playing[0].onset, stage.bars.start
    for note in stage.arrangement.tune.melody:
        if first <= note.onset < first + stage.length:
            begin, bar = _melody_moment(stage, note.onset, bar)
            end, _ = _melody_moment(stage, note.onset + note.beats, bar)
            length = min(end, stage.end) - begin
            yield Event(begin, length, note.note.midi, None, TONE, _MELODY_VELOCITY)


def _melody_moment(stage: Stage, onset: Fraction, bar: int) -> tuple[float, int]:
    first, count = stage.bars.start, len(stage.playing)
    while bar + 1 < first + count and stage.playing[bar + 1 - first].onset <= onset:
        bar += 1
    return stage.moment(onset, bar), bar


def clicks(stage: Stage, *, through: bool) -> Iterator[Event]:
    """Yield the count-in's clicks and, softly, those of the tune."""
    whole = bar_length(stage.meter)
    for bar in range(int(stage.counted / whole)):
        origin = stage.tuned + bar * whole
        yield from _bar_clicks(stage, stage.meter, origin, (Fraction(0), whole), _COUNT_VELOCITY)
    if not through:
        return
    for played, shift in zip(stage.playing, stage.shifts, strict=True):
        start = stage.heard(played.onset)
        # A pick-up's beats are counted already.
        if start >= stage.tuned + stage.counted:
            part = (shift, shift + played.bar.length)
            yield from _bar_clicks(stage, played.bar.meter, start - shift, part, _CLICK_VELOCITY)


def _bar_clicks(
    stage: Stage,
    meter: Meter,
    origin: Fraction,
    part: tuple[Fraction, Fraction],
    velocities: tuple[int, int],
) -> Iterator[Event]:
    """Yield the clicks in a part of a whole bar that begins at ``origin``."""
    beat = beat_length(meter)
    for index in range(math.ceil(part[0] / beat), math.ceil(part[1] / beat)):
        block = HIGH_BLOCK if index == 0 else LOW_BLOCK
        place = origin + index * beat
        if not stage.is_waiting(place):
            velocity = velocities[min(index, 1)]
            yield Event(stage.seconds(place), _CLICK_SECONDS, block, None, CLICK, velocity)


def tuning(stage: Stage) -> Iterator[Event]:
    """Yield the open strings in the instrument's order, before the count-in; none if not asked."""
    if not stage.tuned:
        return
    each = string_beats(stage.meter, stage.tempo) * beat_length(stage.meter)
    length = stage.seconds(each)
    for string, pitch in enumerate(stage.arrangement.instrument.midi):
        onset = stage.seconds(string * each)
        yield Event(onset, length, pitch, string, TONE, TUNING_VELOCITY)
