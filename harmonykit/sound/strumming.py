"""What the strings play: a groove's strokes on the shapes of an arrangement.

Conventions.  A chord is heard where it enters: there is a stroke there, whatever the groove has,
unless a stroke that is pushed ahead has sounded it.  The last chord is struck once and held.
"""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import floor
from operator import itemgetter

from harmonykit.arrange.arrangement import Step
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.sound.performance import TONE, Event
from harmonykit.sound.stage import Stage
from harmonykit.sound.strums import HELD_SPREAD, MUTED_SECONDS, lighter, spread, velocity
from harmonykit.tune.bar import beat_length
from harmonykit.tune.groove.strokes import MUTED, STOPPED, STRUMMED, Stroke

# A moment, the shape that is struck, and the stroke as it is heard; no shape is a silence.
Struck = tuple[float, Voicing | None, "Heard"]


class Heard:
    """A stroke as it is heard: how hard, and how fast it crosses the strings."""

    __slots__ = ("spread", "stroke", "velocity")

    def __init__(self, stroke: Stroke, louder: int = 0, *, held: bool = False) -> None:
        self.stroke = stroke
        self.velocity = velocity(stroke) + louder
        self.spread = max(spread(stroke), HELD_SPREAD) if held else spread(stroke)


_SILENCE = Heard(Stroke(Fraction(0), how=STOPPED))


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
        if heard.stroke.how == MUTED:
            end = min(end, begin + MUTED_SECONDS)
        # A short string's frets are the neck's: its pitch is the shape's to say.
        pitch = pitches[string]
        if pitch is not None:
            hard = min(max(heard.velocity - lighter(heard.stroke, place), 1), 127)
            yield Event(begin, end - begin, pitch, string, TONE, hard)


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
                if stroke.how == STOPPED:
                    shape = None
                elif stroke.push and pushed and _next_beat(stage, step, onset) == pushed.onset:
                    shape, ahead = pushed.voicing, pushed
                yield step, shape, onset, stroke
        before = step.voicing


def _may_be_early(stage: Stage, step: Step, after: Step | None) -> bool:
    """Whether the next chord may be struck before it begins."""
    if after is None or after.voicing is None or after is stage.last:
        return False
    return after.voicing != step.voicing and not stage.is_held(after.onset)


def _next_beat(stage: Stage, step: Step, onset: Fraction) -> Fraction:
    """Return the place of the tune on which the next beat falls."""
    origin, beat = stage.origin(step.bar), beat_length(stage.meter_of(step.bar))
    return origin + (floor((onset - origin) / beat) + 1) * beat


def _pattern(stage: Stage, step: Step, *, entered: bool) -> Iterator[tuple[Fraction, Stroke]]:
    """Yield the groove's strokes inside a step, and one where its chord enters off them."""
    origin = stage.origin(step.bar)
    inside = {
        origin + stroke.at: stroke
        for stroke in stage.strokes(step.bar)
        if _within(step, origin + stroke.at)
    }
    found = inside.get(step.onset)
    if entered and (found is None or found.how in (MUTED, STOPPED)):
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
    return replace(Stroke(at, down=on_beat), how=STRUMMED)


def _within(step: Step, onset: Fraction) -> bool:
    return step.onset <= onset < step.onset + step.beats
