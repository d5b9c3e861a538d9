"""What each part of a performance plays: strings, bass, melody, clicks, tuning notes.

Conventions.  Times are seconds from the start of what is heard.  Each function yields the events of
one part; they need not be in order.
"""

import math
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from operator import itemgetter

from harmonykit.arrange.arrangement import Step
from harmonykit.arrange.slots import beat_weight
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.sound.performance import BASS, CLICK, HIGH_BLOCK, LOW_BLOCK, TONE, Event
from harmonykit.sound.stage import Stage, string_beats
from harmonykit.sound.strums import Stroke, strokes
from harmonykit.tune.bar import Meter, bar_length, beat_length

_COUNT_VELOCITY, _CLICK_VELOCITY = (112, 88), (56, 40)
TUNING_VELOCITY = 96
_MELODY_VELOCITY = 84
# The first beat of the bar is the heavier (common practice, no source).
_BASS_VELOCITY = {True: 92, False: 80}
_CLICK_SECONDS = 0.03
# A bass plays where the bar is heavy: one and three of four, one of three, one and four of five.
_HEAVY = 2
# Bass notes fill the octave up from here: E1 of a bass, raised up to E2 where that is still an
# octave below the lowest open string, so that a small loudspeaker can be heard to play it.
_LOWEST_BASS, _HIGHEST_BASS = 28, 40

Struck = tuple[float, Voicing | None, Stroke]
_SILENCE = Stroke(Fraction(0))


def strummed(stage: Stage) -> Iterator[Event]:
    """Yield the strings' tones: each rings until it is struck again or the chord is over."""
    found = list(_struck(stage))
    if stage.around:
        _, voicing, stroke = found[0]
        found.append((stage.end, voicing, stroke))
    else:
        found.append((stage.ring_end, None, _SILENCE))
    for (onset, voicing, stroke), (after, following, answer) in pairwise(found):
        if voicing is None:
            continue
        ends = _delays(following, answer) if following else {}
        for string, delay in _delays(voicing, stroke).items():
            begin, end = onset + delay, after + ends.get(string, 0.0)
            # A short string's frets are the neck's: its pitch is the shape's to say.
            pitch = voicing.midi[string]
            if pitch is not None:
                yield Event(begin, end - begin, pitch, string, TONE, stroke.velocity)


def _struck(stage: Stage) -> Iterator[Struck]:
    """Yield each stroke with its moment; a silence is a stroke of no strings."""
    previous: Step | None = None
    sung = frozenset(note.onset for note in stage.arrangement.tune.melody)
    melody = stage.arrangement.is_melody
    last = None if stage.around else stage.arrangement.steps[-1]
    for _, step in stage.steps:
        if step.voicing is None:
            yield stage.moment(step.onset, step.bar), None, _SILENCE
        elif step is last:
            held = Stroke(Fraction(0), accent=True, held=True)
            yield stage.moment(step.onset, step.bar), step.voicing, held
        elif melody:
            entered = previous is None or previous.voicing != step.voicing
            if entered or step.onset in sung:
                stroke = Stroke(step.onset - stage.origin(step.bar))
                yield stage.moment(step.onset, step.bar), step.voicing, stroke
        else:
            for onset, stroke in _pattern(stage, step, previous):
                yield stage.moment(onset, step.bar), step.voicing, stroke
        previous = step


def _pattern(stage: Stage, step: Step, previous: Step | None) -> Iterator[tuple[Fraction, Stroke]]:
    """Yield the metre's strokes inside a step, and one where its chord enters off them."""
    origin = stage.origin(step.bar)
    inside = {
        origin + stroke.at: stroke
        for stroke in strokes(stage.meter_of(step.bar))
        if _within(step, origin + stroke.at)
    }
    entered = previous is None or previous.voicing != step.voicing
    if entered and step.onset not in inside:
        inside[step.onset] = Stroke(step.onset - origin)
    for hold, _, _ in stage.holds:
        if _within(step, hold.onset):
            inside = {at: s for at, s in inside.items() if not hold.onset <= at < hold.until}
            inside[hold.onset] = Stroke(hold.onset - origin, accent=True, held=True)
    yield from sorted(inside.items(), key=itemgetter(0))


def _within(step: Step, onset: Fraction) -> bool:
    return step.onset <= onset < step.onset + step.beats


def _delays(voicing: Voicing, stroke: Stroke) -> dict[int, float]:
    """Return how long after the stroke each sounding string is reached, in seconds."""
    strings = [string for string, fret in enumerate(voicing.frets) if fret is not None]
    order = strings if stroke.down else strings[::-1]
    apart = stroke.spread / max(len(order) - 1, 1)
    return {string: place * apart for place, string in enumerate(order)}


def bass(stage: Stage) -> Iterator[Event]:
    """Yield a line of the chords' bass notes, on the heavy beats and where a chord enters."""
    found = list(_bass_notes(stage))
    end = (stage.end, found[0][1], 0) if stage.around else (stage.ring_end, None, 0)
    for (onset, pitch, velocity), (after, _, _) in pairwise([*found, end]):
        if pitch is not None:
            yield Event(onset, after - onset, pitch, None, BASS, velocity)


def _bass_notes(stage: Stage) -> Iterator[tuple[float, int | None, int]]:
    """Yield each note with its moment and velocity; a silence is a note of no pitch."""
    lowest = _bass_floor(min(stage.arrangement.instrument.midi))
    last = None if stage.around else stage.arrangement.steps[-1]
    previous: Step | None = None
    for _, step in stage.steps:
        if step.chord is None:
            yield stage.moment(step.onset, step.bar), None, 0
        else:
            pitch = lowest + (step.chord.bass.pitch_class - lowest) % 12
            entered = previous is None or previous.chord != step.chord
            for onset, first in _heavy(stage, step, entered=entered):
                # Under a chord that is held one note is held.
                inside = any(hold.onset < onset < hold.until for hold, _, _ in stage.holds)
                if not inside and (step is not last or onset == step.onset):
                    yield stage.moment(onset, step.bar), pitch, _BASS_VELOCITY[first]
        previous = step


def _heavy(stage: Stage, step: Step, *, entered: bool) -> Iterator[tuple[Fraction, bool]]:
    """Yield where the bass plays in a step, and whether that is the first beat of the bar."""
    origin, meter = stage.origin(step.bar), stage.meter_of(step.bar)
    beat = beat_length(meter)
    places = {origin + index * beat for index in range(int(bar_length(meter) / beat))}
    heavy = {place for place in places if beat_weight(meter, place - origin) >= _HEAVY}
    if entered:
        heavy.add(step.onset)
    for place in sorted(heavy):
        if _within(step, place):
            yield place, place == origin


def _bass_floor(lowest_string: int) -> int:
    return min(max(lowest_string - 12, _LOWEST_BASS), _HIGHEST_BASS)


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
