"""Repeated bars played alike each time, so that a score can keep the repeat.

Where the chords of a bar are the same every time, its shapes are those of the last time: they come
from what is played before the repeat and from its start.  Where chords differ, nothing changes.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.theory.chord import Chord


def alike_each_time(arrangement: Arrangement) -> tuple[Arrangement, tuple[int, ...]]:
    """Return an arrangement with repeated bars played alike, and the printed bars that changed.

    Its cost stays that of the arrangement given.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("|: C6 | F6 :|", "ukulele", (), k=1)
    >>> alike, _ = alike_each_time(way)
    >>> [step.voicing.digits for step in alike.steps if step.voicing][:2] == [
    ...     step.voicing.digits for step in alike.steps if step.voicing
    ... ][2:]
    True
    """
    playing, bars = arrangement.tune.playing, arrangement.bars()
    times: dict[int, list[int]] = {}
    for index, played in enumerate(playing):
        times.setdefault(id(played.bar), []).append(index)
    found: dict[int, tuple[Step, ...]] = {}
    changed = dict[int, None]()
    for places in times.values():
        last = places[-1]
        if any(
            _chords(bars[place], playing[place].onset) != _chords(bars[last], playing[last].onset)
            for place in places
        ):
            continue
        for place in places[:-1]:
            moved = tuple(
                replace(
                    step, bar=place, onset=step.onset - playing[last].onset + playing[place].onset
                )
                for step in bars[last]
            )
            if [step.voicing for step in moved] != [step.voicing for step in bars[place]]:
                found[place] = moved
                changed[playing[place].bar.number] = None
    steps = (step for place, row in enumerate(bars) for step in found.get(place, row))
    return replace(arrangement, steps=tuple(steps)), tuple(changed)


def _chords(
    steps: Sequence[Step], start: Fraction
) -> list[tuple[Chord | None, bool, Fraction, Fraction]]:
    """Return what sounds in a bar, counted from its start, without its shapes."""
    return [(step.chord, step.voicing is None, step.onset - start, step.beats) for step in steps]
