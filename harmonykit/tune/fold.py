"""A tune written out in full, and folded up again: repeats and endings found in plain bars.

Both give the same music: the same chords and notes at the same onsets.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import groupby

from harmonykit.tune import order, words
from harmonykit.tune.tune import Bar, PlayedBar, Section, Tune

# A repeated part is not longer than this: who turns pages to go back that far?
MOST_REPEATED = 64
_MOST_ENDING = 2
# Two bars alike are written out: a repeat sign would say no less.
_LEAST_SAVED = 2


def write_out(tune: Tune) -> Tune:
    """Return the tune with its bars in playing order: no repeats, no jumps, no form.

    A section that is played again has a number behind its name.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> tune = read_tune(find_data("tunes", "heron_landing"))
    >>> [section.name for section in write_out(tune).sections]
    ['A', 'B', 'A 2', 'C']
    """
    taken: Counter[str] = Counter()
    sections = []
    for name, bars in _runs(tune):
        taken[name] += 1
        while taken[name] > 1 and f"{name} {taken[name]}" in tune.order:
            taken[name] += 1
        shown = name if taken[name] == 1 else f"{name} {taken[name]}"
        sections.append(Section(shown, tuple(bars)))
    return replace(tune, sections=tuple(sections), order=())


def _runs(tune: Tune) -> Iterator[tuple[str, list[Bar]]]:
    """Yield the played bars of each section; one that follows itself begins anew."""
    firsts = {section.name: section.bars[0] for section in tune.sections}
    count = 0
    keyed: list[tuple[int, PlayedBar]] = []
    part = -1
    for played, turn in zip(tune.playing, tune.form.turns, strict=True):
        again = played.bar is firsts[played.section] and turn.time == 1
        count += turn.part != part or again
        keyed.append((count, played))
        part = turn.part
    for _, group in groupby(keyed, key=lambda pair: pair[0]):
        found = [played for _, played in group]
        yield found[0].section, [played.as_sung for played in found]


def fold(tune: Tune) -> Tune:
    """Return the tune with what follows itself written once, and sections alike written once.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> tune = read_tune(find_data("tunes", "heron_landing"))
    >>> folded = fold(write_out(tune))
    >>> folded.order, len(folded.bars), folded.length == tune.length
    (('A', 'B', 'A', 'C'), 24, True)
    """
    plain = write_out(tune)
    names: dict[tuple[Bar, ...], str] = {}
    sections: list[Section] = []
    form = []
    for section in plain.sections:
        bars = tuple(replace(bar, number=0) for bar in section.bars)
        if bars not in names:
            names[bars] = section.name
            sections.append(Section(section.name, tuple(_folded(list(bars)))))
        form.append(names[bars])
    return replace(tune, sections=tuple(sections), order=tuple(form))


def _folded(bars: list[Bar]) -> Iterator[Bar]:
    """Yield bars with repeats and endings, the longest part first."""
    index = 0
    while index < len(bars):
        part, used = _repeat_at(bars, index)
        yield from part
        index += used


def _repeat_at(bars: list[Bar], index: int) -> tuple[list[Bar], int]:
    """Return what is to be written at a place, and how many bars it stands for."""
    longest = min(MOST_REPEATED, (len(bars) - index) // 2)
    for width in range(longest, 0, -1):
        part = bars[index : index + width]
        times = _times(bars, index, width)
        if width * (times - 1) >= _LEAST_SAVED:
            passes = [bars[index + n * width : index + (n + 1) * width] for n in range(times)]
            whole = _stacked(passes)
            whole[0] = replace(whole[0], opens=True)
            whole[-1] = replace(whole[-1], closes=times)
            return whole, width * times
        if endings := _endings(part, bars[index + width : index + 2 * width]):
            return endings, 2 * width
    return [bars[index]], 1


def _times(bars: list[Bar], index: int, width: int) -> int:
    """Return how often a part follows itself, as far as a repeat sign says it."""
    part, times = bars[index : index + width], 1
    while times < min(order.MOST_TIMES, words.MOST_VERSES) and _alike(
        part, bars[index + times * width : index + (times + 1) * width]
    ):
        times += 1
    return times


def _alike(part: list[Bar], again: list[Bar]) -> bool:
    """Return whether bars are the same but for their words, which can be verses of one part."""
    if len(part) != len(again):
        return False
    return all(
        one == other or (one.verses == other.verses == {1} and _mute(one) == _mute(other))
        for one, other in zip(part, again, strict=True)
    )


def _mute(bar: Bar) -> Bar:
    return replace(bar, melody=tuple(replace(note, words=()) for note in bar.melody), lyric=())


def _stacked(passes: list[list[Bar]]) -> list[Bar]:
    """Return the bars of one pass, with the words of the others as further verses."""
    return [_with_verses(list(bars)) for bars in zip(*passes, strict=True)]


def _with_verses(bars: list[Bar]) -> Bar:
    if all(bar == bars[0] for bar in bars):
        return bars[0]
    notes = zip(*(bar.melody for bar in bars), strict=True)
    melody = (
        replace(
            row[0],
            words=tuple(
                replace(word, verse=verse)
                for verse, note in enumerate(row, 1)
                for word in note.words
            ),
        )
        for row in notes
    )
    lyric = tuple((bar.lyric or ("",))[0] for bar in bars)
    return replace(bars[0], melody=tuple(melody), lyric=lyric)


def _endings(part: list[Bar], again: list[Bar]) -> list[Bar]:
    """Return a part of four bars or more with two endings, where it differs in its end alone."""
    for tail in range(1, _MOST_ENDING + 1):
        body = part[:-tail]
        if len(body) >= max(3, 2 * tail) and _alike(body, again[:-tail]):
            body = _stacked([body, again[:-tail]])
            first = [replace(bar, ending=(1,)) for bar in part[-tail:]]
            first[-1] = replace(first[-1], closes=2)
            second = [replace(bar, ending=(2,)) for bar in again[-tail:]]
            return [replace(body[0], opens=True), *body[1:], *first, *second]
    return []
