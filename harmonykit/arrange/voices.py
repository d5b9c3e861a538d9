"""What the voices of an arrangement do together: outer voices, guide tones, drops, wording.

Conventions.  A change is from one shape to a different one that follows it without silence.  Two
outer voices are *parallel* where both go one way, *contrary* where they go against each other and
*oblique* where one stays; a change in which both stay counts as none of them.  A voice goes along a
string, or to the pitch that it is paired with from the lowest up (``staircase.voice_pairs``).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.guides import third_below
from harmonykit.arrange.top_line import Stop
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.leading.staircase import voice_pairs

RISING, FALLING = ("ascending walk",), ("descending walk",)
"""Moves whose names say where the voices go."""
_FARTHEST_DROP, _STEP = 3, 2


def changes_of(stops: tuple[Stop, ...]) -> Iterator[tuple[Voicing, Voicing]]:
    """Yield the changes of shape."""
    for before, after in pairwise(stops):
        if before.voicing is not None and after.voicing is not None:
            yield before.voicing, after.voicing


def outer_voices(stops: tuple[Stop, ...]) -> tuple[int, int, int]:
    """Return in how many changes the outer voices are parallel, oblique and contrary."""
    parallel = oblique = contrary = 0
    for before, after in changes_of(stops):
        low, high = min(before.sounding), max(before.sounding)
        product = (min(after.sounding) - low) * (max(after.sounding) - high)
        still = min(after.sounding) == low and max(after.sounding) == high
        parallel += product > 0
        contrary += product < 0
        oblique += product == 0 and not still
    return parallel, oblique, contrary


def guide_tones(way: Arrangement) -> tuple[int, int]:
    """Return how many seventh chords fall a fifth, and how often one voice goes 7–3 by step.

    Counted are chords with third and seventh whose root falls a fifth to a chord with a third.
    """
    falls = by_step = 0
    rows = [step for step in way.steps]
    for before, after in pairwise(rows):
        goal = third_below(before.chord, after.chord)
        if goal is None or before.voicing is None or after.voicing is None:
            continue
        seventh, third = goal
        falls += 1
        strings = zip(before.voicing.midi, after.voicing.midi, strict=True)
        along = [(a, b) for a, b in strings if a is not None and b is not None]
        paired = voice_pairs(before.sounds, after.sounds)
        by_step += any(
            a % 12 == seventh and b % 12 == third and abs(a - b) <= _STEP
            for a, b in (*along, *paired)
        )
    return falls, by_step


def against_wording(way: Arrangement) -> int:
    """Return how many voices go against the name of their move inside walks.

    A walk begins with a shape that no step leads to; from there on every voice goes its way.
    """
    return sum(
        sum(
            (b < a if after.move in RISING else b > a)
            for a, b in voice_pairs(before.sounds, after.sounds)
        )
        for before, after in pairwise(way.steps)
        if after.move in RISING + FALLING
        and after.move == before.move
        and before.sounds
        and after.sounds
        and before.written == after.written
    )


def drops_at_bar_lines(stops: tuple[Stop, ...]) -> int:
    """Return how often all strings drop more than three frets where a bar begins."""
    count = 0
    for before, after in pairwise(stops):
        if before.voicing is None or after.voicing is None or after.bar == before.bar:
            continue
        frets = zip(before.voicing.frets, after.voicing.frets, strict=True)
        falls = [a - b for a, b in frets if a is not None and b is not None]
        count += bool(falls) and min(falls) > _FARTHEST_DROP
    return count
