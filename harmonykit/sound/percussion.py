"""What small percussion plays: the shaker, brush and stick of a groove.

Conventions.  It is silent where no chord sounds.  The last chord, and one that is held, has its
first place alone.  How hard each is struck is common practice without a published source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import inf

from harmonykit.arrange.arrangement import Step
from harmonykit.sound.performance import DRUM, Event
from harmonykit.sound.stage import Stage
from harmonykit.tune.groove.strokes import BRUSH, SHAKER, STICK, Hit

# Their numbers in the percussion map of General MIDI, level 1 with the shaker of level 2.
MIDI = {SHAKER: 82, BRUSH: 40, STICK: 37}
ACCENT, PLAIN, GHOST = 88, 66, 42
# As long as each of them sounds.
_SECONDS = {SHAKER: 0.25, BRUSH: 0.4, STICK: 0.15}


def percussion(stage: Stage) -> Iterator[Event]:
    """Yield what the grooves of a stage have for small percussion, each until it is struck anew."""
    coming: dict[int, float] = {}
    for hit in sorted(_struck(stage), key=_onset, reverse=True):
        length = min(hit.length, coming.get(hit.midi, inf) - hit.onset)
        coming[hit.midi] = hit.onset
        yield replace(hit, length=length)


def _onset(event: Event) -> float:
    return event.onset


def _struck(stage: Stage) -> Iterator[Event]:
    human = stage.human("percussion")
    for _, step in stage.steps:
        if step.chord is None:
            continue
        who = human[step.bar]
        for hit in _hits(stage, step):
            moment = stage.within(hit.at, step.bar) + who.late(step.bar, hit.at)
            hard = hardness(hit) + who.louder(step.bar, hit.at)
            yield Event(max(moment, 0.0), _SECONDS[hit.what], MIDI[hit.what], None, DRUM, hard)


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
    hits = [hit for hit in stage.hits(step.bar) if start <= hit.at < start + step.beats]
    for hold, _, _ in stage.holds:
        begin, end = (at - stage.origin(step.bar) for at in (hold.onset, hold.until))
        hits = [hit for hit in hits if not begin < hit.at < end]
    return hits
