"""What each part plays: the strum on the shapes, small percussion, melody, clicks and tuning notes.

Conventions.  Times are seconds from the start of what is heard.  Each function yields the events of
one part; they need not be in order.

A chord is heard where it enters: there is a stroke there, whatever the groove has,
unless a stroke that is pushed ahead has sounded it.  The last chord is struck once and held.

Small percussion is silent where no chord sounds.  The last chord, and one that is held, has its
first place alone.  How hard each is struck is common practice without a published source.
"""

import math
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import inf
from operator import itemgetter

from harmonykit.arrange.arrangement import Step
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.sound import performance
from harmonykit.sound.performance import Event
from harmonykit.sound.stage import Stage
from harmonykit.sound.strums import HELD_SPREAD, MUTED_SECONDS, lighter, spread, velocity
from harmonykit.tune.bar import Meter, bar_length, beat_length
from harmonykit.tune.groove import strokes
from harmonykit.tune.groove.strokes import Hit, Stroke

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
            yield Event(begin, length, note.note.midi, None, performance.TONE, _MELODY_VELOCITY)


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
        block = performance.HIGH_BLOCK if index == 0 else performance.LOW_BLOCK
        place = origin + index * beat
        if not stage.is_waiting(place):
            velocity = velocities[min(index, 1)]
            yield Event(
                stage.seconds(place), _CLICK_SECONDS, block, None, performance.CLICK, velocity
            )


def tuning(stage: Stage) -> Iterator[Event]:
    """Yield the open strings in the instrument's order, before the count-in; none if not asked."""
    if not stage.tuned:
        return
    each = performance.string_beats(stage.meter, stage.tempo) * beat_length(stage.meter)
    length = stage.seconds(each)
    for string, pitch in enumerate(stage.arrangement.instrument.midi):
        onset = stage.seconds(string * each)
        yield Event(onset, length, pitch, string, performance.TONE, TUNING_VELOCITY)


# A moment, the shape that is struck, and the stroke as it is heard; no shape is a silence.
Struck = tuple[float, Voicing | None, "Heard"]


class Heard:
    """A stroke as it is heard: how hard, and how fast it crosses the strings."""

    __slots__ = ("spread", "stroke", "velocity")

    def __init__(self, stroke: Stroke, louder: int = 0, *, held: bool = False) -> None:
        self.stroke = stroke
        self.velocity = velocity(stroke) + louder
        self.spread = max(spread(stroke), HELD_SPREAD) if held else spread(stroke)


_SILENCE = Heard(Stroke(Fraction(0), how=strokes.STOPPED))


def strummed(stage: Stage) -> Iterator[Event]:
    """Yield the strings' tones: each rings until it is struck again or the chord is over."""
    found = list(_struck(stage))
    if stage.around:
        onset, voicing, heard = found[0]
        found.append((stage.end + onset, voicing, heard))
    else:
        found.append((stage.ring_end, None, _SILENCE))
    for (onset, voicing, heard), (after, following, answer) in pairwise(found):
        if voicing is not None:
            ends = _delays(following, answer) if following else {}
            yield from _tones((onset, voicing, heard), after, ends)


def _tones(struck: Struck, after: float, ends: dict[int, float]) -> Iterator[Event]:
    """Yield the tones of a stroke, which the next one ends string by string."""
    onset, voicing, heard = struck
    if voicing is None:
        return
    pitches = voicing.midi
    for place, (string, delay) in enumerate(_delays(voicing, heard).items()):
        begin, end = onset + delay, after + ends.get(string, 0.0)
        if heard.stroke.how == strokes.MUTED:
            end = min(end, begin + MUTED_SECONDS)
        # A short string's frets are the neck's: its pitch is the shape's to say.
        pitch = pitches[string]
        if pitch is not None:
            hard = min(max(heard.velocity - lighter(heard.stroke, place), 1), 127)
            yield Event(begin, end - begin, pitch, string, performance.TONE, hard)


def _delays(voicing: Voicing, heard: Heard) -> dict[int, float]:
    """Return how long after the stroke each sounding string is reached, in seconds."""
    strings = [string for string, fret in enumerate(voicing.frets) if fret is not None]
    order = strings if heard.stroke.down else strings[::-1]
    apart = heard.spread / max(len(order) - 1, 1)
    return {string: place * apart for place, string in enumerate(order)}


def _struck(stage: Stage) -> Iterator[Struck]:
    """Yield each stroke with its moment; a silence is a stroke of no strings."""
    human = stage.human("strings")
    for step, voicing, onset, stroke in _played(stage):
        moment = stage.within(stroke.at, step.bar)
        held = stage.is_held(onset) or (step is stage.last and stroke.accent)
        if voicing is None:
            yield moment, None, _SILENCE
            continue
        who = human[step.bar]
        late, louder = who.late(step.bar, stroke.at), who.louder(step.bar, stroke.at)
        yield max(moment + late, 0.0), voicing, Heard(stroke, louder, held=held)


def _played(stage: Stage) -> Iterator[tuple[Step, Voicing | None, Fraction, Stroke]]:
    """Yield each stroke with its step, the shape that it sounds, and its place in the tune."""
    steps = [step for _, step in stage.steps]
    sung = frozenset(note.onset for note in stage.arrangement.tune.melody)
    melody = stage.arrangement.is_melody
    before: Voicing | None = None
    ahead: Step | None = None
    for step, after in pairwise([*steps, None]):
        if step is None:
            continue
        entered = before != step.voicing and step is not ahead
        if step.voicing is None or step is stage.last or melody:
            if step.voicing is None or step is stage.last or entered or step.onset in sung:
                accent = step is stage.last
                stroke = Stroke(step.onset - stage.origin(step.bar), accent=accent)
                yield step, step.voicing, step.onset, stroke
        else:
            pushed = after if _may_be_early(stage, step, after) else None
            ahead = None
            for onset, stroke in _pattern(stage, step, entered=entered):
                shape: Voicing | None = step.voicing
                if stroke.how == strokes.STOPPED:
                    shape = None
                elif stroke.push and pushed and stage.next_beat(step, onset) == pushed.onset:
                    shape, ahead = pushed.voicing, pushed
                yield step, shape, onset, stroke
        before = step.voicing


def _may_be_early(stage: Stage, step: Step, after: Step | None) -> bool:
    """Whether the next chord may be struck before it begins."""
    if after is None or after.voicing is None or after is stage.last:
        return False
    return after.voicing != step.voicing and not stage.is_held(after.onset)


def _pattern(stage: Stage, step: Step, *, entered: bool) -> Iterator[tuple[Fraction, Stroke]]:
    """Yield the groove's strokes inside a step, and one where its chord enters off them."""
    origin = stage.origin(step.bar)
    inside = {
        origin + stroke.at: stroke
        for stroke in stage.strokes(step.bar)
        if _within(step, origin + stroke.at)
    }
    found = inside.get(step.onset)
    if entered and (found is None or found.how in (strokes.MUTED, strokes.STOPPED)):
        inside[step.onset] = _entering(stage, step)
    for hold, _, _ in stage.holds:
        if _within(step, hold.onset):
            inside = {at: s for at, s in inside.items() if not hold.onset <= at < hold.until}
            inside[hold.onset] = Stroke(hold.onset - origin, accent=True)
    yield from sorted(inside.items(), key=itemgetter(0))


def _entering(stage: Stage, step: Step) -> Stroke:
    """Return the stroke of a chord that enters where the groove has none: an up between beats."""
    at = step.onset - stage.origin(step.bar)
    on_beat = (at / beat_length(stage.meter_of(step.bar))).denominator == 1
    return replace(Stroke(at, down=on_beat), how=strokes.STRUMMED)


def _within(step: Step, onset: Fraction) -> bool:
    return step.onset <= onset < step.onset + step.beats


# Their numbers in the percussion map of General MIDI, level 1 with the shaker of level 2.
MIDI = {strokes.SHAKER: 82, strokes.BRUSH: 40, strokes.STICK: 37}
ACCENT, PLAIN, GHOST = 88, 66, 42
# As long as each of them sounds.
_SECONDS = {strokes.SHAKER: 0.25, strokes.BRUSH: 0.4, strokes.STICK: 0.15}


def percussion(stage: Stage) -> Iterator[Event]:
    """Yield what the grooves of a stage have for small percussion, each until it is struck anew."""
    coming: dict[int, float] = {}
    for hit in sorted(_tapped(stage), key=_onset, reverse=True):
        length = min(hit.length, coming.get(hit.midi, inf) - hit.onset)
        coming[hit.midi] = hit.onset
        yield replace(hit, length=length)


def _onset(event: Event) -> float:
    return event.onset


def _tapped(stage: Stage) -> Iterator[Event]:
    human = stage.human("percussion")
    for _, step in stage.steps:
        if step.chord is None:
            continue
        who = human[step.bar]
        for hit in _hits(stage, step):
            moment = stage.within(hit.at, step.bar) + who.late(step.bar, hit.at)
            hard = hardness(hit) + who.louder(step.bar, hit.at)
            yield Event(
                max(moment, 0.0), _SECONDS[hit.what], MIDI[hit.what], None, performance.DRUM, hard
            )


def hardness(hit: Hit) -> int:
    """Return how hard a sound is struck, on the scale of MIDI.

    Examples
    --------
    >>> from fractions import Fraction
    >>> hardness(Hit(Fraction(0), accent=True)), hardness(Hit(Fraction(0), ghost=True))
    (88, 42)
    """
    return ACCENT if hit.accent else GHOST if hit.ghost else PLAIN


def _hits(stage: Stage, step: Step) -> list[Hit]:
    """Return what is struck inside a step."""
    start = step.onset - stage.origin(step.bar)
    if step is stage.last:
        first = [hit for hit in stage.hits(step.bar) if hit.at == 0]
        return [replace(hit, at=start) for hit in first]
    hits = (hit for hit in stage.hits(step.bar) if start <= hit.at < start + step.beats)
    return stage.not_held(hits, step.bar)
