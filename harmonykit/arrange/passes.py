"""Repeated bars played alike each time, so that a score can keep the repeat.

Where the chords of a bar are the same every time, its shapes are those of the last time: they come
from what is played before the repeat and from its start.  Where chords differ, nothing changes.
A tune that goes on with an arrangement's chords keeps its form by the same rule.
"""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import groupby

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.score import charted, lead_sheet
from harmonykit.arrange.written import (
    bar_sounds,
    has_signs,
    in_signs,
    is_bare_upbeat,
    otherwise_again,
)
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
    sounds = [*bar_sounds(arrangement, shapes=False)]
    times: dict[int, list[int]] = {}
    for index, played in enumerate(playing):
        times.setdefault(id(played.bar), []).append(index)
    found: dict[int, tuple[Step, ...]] = {}
    changed = dict[int, None]()
    for places in times.values():
        last = places[-1]
        if any(sounds[place] != sounds[last] for place in places):
            continue
        for place in places[:-1]:
            moved = tuple(
                replace(
                    each, chord=own.chord if each.alone else each.chord, bar=place, onset=own.onset
                )
                for each, own in zip(bars[last], bars[place], strict=True)
            )
            if [step.voicing for step in moved] != [step.voicing for step in bars[place]]:
                found[place] = moved
                changed[playing[place].bar.number] = None
    steps = (step for place, row in enumerate(bars) for step in found.get(place, row))
    return replace(arrangement, steps=tuple(steps)), tuple(sorted(changed))


def in_its_form(arrangement: Arrangement) -> Tune:
    """Return the tune with the arrangement's chords, in the tune's own form where that can be.

    Where the chords of a repeated bar differ, it is written out, and folded as far as it goes.  A
    bar without a chord of its own, under which the one before lasts on, has none here.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("|: C6 | Dm7 :|", "ukulele", ["passing diminished"], k=1)
    >>> len(in_its_form(way).bars)
    2
    """
    tune = arrangement.tune
    rows: dict[int, list[tuple[Starts, Starts]]] = {}
    for played, pair in zip(tune.playing, _starts(arrangement), strict=True):
        rows.setdefault(id(played.bar), []).append(pair)
    found: dict[int, Starts] = {}
    for bar, pairs in rows.items():
        whole, new = (list(each) for each in zip(*pairs, strict=True))
        if alike := next((row for row in (new, whole) if row.count(row[0]) == len(row)), None):
            found[bar] = alike[0]
        else:
            return fold(_written_out(arrangement))
    sections = tuple(
        replace(section, bars=tuple(_with(bar, found.get(id(bar))) for bar in section.bars))
        for section in tune.sections
    )
    return replace(tune, sections=sections, tempo=arrangement.tempo)


def on_paper(arrangement: Arrangement) -> tuple[Arrangement, tuple[int, ...]]:
    """Return an arrangement as a score writes it, and the printed bars whose shapes changed.

    Repeated bars are alike as by ``alike_each_time``.  Where only the ends of a repeat differ its
    tune has first and second endings.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("|: C6 | F6 :|", "ukulele", (), k=1)
    >>> on_paper(way)[0].tune == way.tune
    True
    """
    alike, changed = alike_each_time(arrangement)
    tune = alike.tune
    if alike.choruses or not otherwise_again(alike) or not has_signs(tune):
        return alike, changed
    form = in_its_form(alike)
    if len(form.form.repeats) != len(tune.form.repeats):
        return alike, changed
    ended, more = alike_each_time(replace(alike, tune=form))
    return (ended, tuple(sorted({*changed, *more}))) if in_signs(ended) else (alike, changed)


Starts = list[tuple[Chord | None, Fraction]]


def _starts(arrangement: Arrangement) -> Iterator[tuple[Starts, Starts]]:
    """Yield the chords of each played bar with where they start: all, and those that are new.

    What lasts on from the bar before is new where the tune writes a chord at the start of the bar.
    """
    before: Chord | None = None
    for played, steps in zip(arrangement.tune.playing, charted(arrangement), strict=True):
        own = steps
        if is_bare_upbeat(played.bar):  # a melody note alone, named for want of a chord
            own = tuple(replace(step, chord=before) if step.alone else step for step in steps)
        runs = [next(run) for _, run in groupby(own, key=lambda step: step.chord)]
        whole = [(step.chord, step.onset - played.onset) for step in runs]
        lasts = bool(whole) and whole[0] == (before, Fraction(0)) and played.bar.carried > 0
        yield whole, whole[int(lasts) :]
        before = whole[-1][0] if whole else before


def _written_out(arrangement: Arrangement) -> Tune:
    """Return the tune as it is played, with the chords that are new in each bar."""
    tune = lead_sheet(arrangement)
    news = (new for _, new in _starts(arrangement))
    return replace(
        tune,
        sections=tuple(
            replace(section, bars=tuple(_with(bar, next(news)) for bar in section.bars))
            for section in tune.sections
        ),
    )


def _with(bar: Bar, starts: Starts | None) -> Bar:
    """Return a written bar with other chords; one that is never played stays as it is."""
    if starts is None:
        return bar
    return replace(bar, changes=Bar.of(bar.meter, starts, bar.length).changes)
