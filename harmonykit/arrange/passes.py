"""Repeated bars played alike each time, so that a score can keep the repeat.

Where the chords of a bar are the same every time, its shapes are those of the last time: they come
from what is played before the repeat and from its start.  Where chords differ, nothing changes.
A tune that goes on with an arrangement's chords keeps its form by the same rule.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.score import lead_sheet
from harmonykit.theory.chord import Chord
from harmonykit.tune.fold import fold
from harmonykit.tune.tune import Bar, Tune


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


def in_its_form(arrangement: Arrangement) -> Tune:
    """Return the tune with the arrangement's chords, in the tune's own form where that can be.

    Where the chords of a repeated bar differ, it is written out, and folded as far as it goes.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("|: C6 | Dm7 :|", "ukulele", ["passing diminished"], k=1)
    >>> len(in_its_form(way).bars)
    2
    """
    tune = arrangement.tune
    found: dict[int, list[tuple[Chord | None, Fraction]]] = {}
    for played, steps in zip(tune.playing, arrangement.bars(), strict=True):
        runs = [next(run) for _, run in groupby(steps, key=lambda step: step.chord)]
        starts = [(step.chord, step.onset - played.onset) for step in runs]
        if found.setdefault(id(played.bar), starts) != starts:
            return fold(lead_sheet(arrangement))
    sections = tuple(
        replace(section, bars=tuple(_with(bar, found.get(id(bar), [])) for bar in section.bars))
        for section in tune.sections
    )
    return replace(tune, sections=sections, tempo=arrangement.tempo)


def _with(bar: Bar, starts: list[tuple[Chord | None, Fraction]]) -> Bar:
    """Return a written bar with other chords; one that is never played stays as it is."""
    if not starts or (not bar.changes and len(starts) == 1):
        return bar
    return replace(bar, changes=Bar.of(bar.meter, starts, bar.length).changes)


def _chords(
    steps: Sequence[Step], start: Fraction
) -> list[tuple[Chord | None, bool, Fraction, Fraction]]:
    """Return what sounds in a bar, counted from its start, without its shapes."""
    return [(step.chord, step.voicing is None, step.onset - start, step.beats) for step in steps]
