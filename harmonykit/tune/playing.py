"""From the bars as written to the bars as played: repeats, endings and form unfolded."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from harmonykit.tune.bar import bar_length
from harmonykit.tune.tune import (
    MOST_PLAYED_BARS,
    Bar,
    Change,
    PlayedBar,
    Sung,
    Tune,
    TuneError,
)


def unfold(bars: tuple[Bar, ...]) -> Iterator[Bar]:
    """Yield the bars of one section in playing order.

    A part that closes without having opened starts after the last one that closed, or where the
    section does.  After the last ending, or a part that is through, the next part starts.
    """
    start, count, index = 0, 1, 0
    while index < len(bars):
        bar = bars[index]
        after_endings = index > 0 and bars[index - 1].ending and not bar.ending
        if (bar.opens or after_endings) and index != start:
            start, count = index, 1
        index += 1
        if bar.ending and count not in bar.ending:
            continue
        yield bar
        times = _times(bars, index - 1)
        if count < times:
            count, index = count + 1, start
        elif times and not bar.ending:
            start, count = index, 1


def _times(bars: tuple[Bar, ...], index: int) -> int:
    """Return how often the part that closes after a bar is played; 0 if none closes there."""
    bar = bars[index]
    if not bar.closes or not bar.ending:
        return bar.closes
    last = index
    while last + 1 < len(bars) and bars[last + 1].ending:
        last += 1
    first = index
    while first > 0 and bars[first - 1].ending:
        first -= 1
    return max(max(bar.ending) for bar in bars[first : last + 1])


def play_bars(tune: Tune) -> tuple[PlayedBar, ...]:
    """Return a tune's bars in playing order, each with its onset."""
    parts = {section.name: tuple(unfold(section.bars)) for section in tune.sections}
    if sum(len(parts[name]) for name in tune.form) > MOST_PLAYED_BARS:
        raise TuneError(f"{tune.title!r} is played for more than {MOST_PLAYED_BARS} bars")
    played = []
    onset = Fraction(0)
    for name in tune.form:
        for bar in parts[name]:
            played.append(PlayedBar(bar, onset, name))
            onset += bar.length
    if not played:
        raise TuneError(f"{tune.title!r} has only endings that are never reached")
    return tuple(played)


def play_changes(playing: tuple[PlayedBar, ...]) -> tuple[Change, ...]:
    """Return the changes of played bars, each lasting until the next."""
    found = [
        (change.chord, played.onset + change.at, played.bar.number)
        for played in playing
        for change in played.bar.changes
    ]
    if found and found[0][0] is None:
        del found[0]  # it has been silent from the start
    if not found or found[0][1] > 0:
        found.insert(0, (None, Fraction(0), playing[0].bar.number))
    end = (None, playing[-1].onset + playing[-1].bar.length, 0)
    return tuple(
        Change(chord, onset, after - onset, bar)
        for (chord, onset, bar), (_, after, _) in pairwise([*found, end])
    )


def play_melody(playing: tuple[PlayedBar, ...]) -> tuple[Sung, ...]:
    """Return the melody of played bars, tied notes joined where they do follow each other."""
    sung: list[Sung] = []
    tied = False
    for played in playing:
        for note in played.bar.melody:
            onset = played.onset + note.at
            last = sung[-1] if tied else None
            if last and last.note.midi == note.note.midi and last.onset + last.beats == onset:
                sung[-1] = Sung(last.note, last.onset, last.beats + note.beats)
            else:
                sung.append(Sung(note.note, onset, note.beats))
            tied = note.tied
    return tuple(sung)


def bar_numbers(tune: Tune) -> list[tuple[int, bool]]:
    """Return the number of each bar in playing order, and whether the bar is the first to bear it.

    A pick-up is bar 0; what completes a bar after a repeat bears that bar's number (common practice
    of engravers, no source).

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> bar_numbers(Tune.read(find_data("tunes", "net_loft_shuffle")))[-1]
    (32, True)
    """
    numbers: list[tuple[int, bool]] = []
    number, room = (-1 if tune.pickup else 0), Fraction(0)
    for place in tune.playing:
        missing = bar_length(place.bar.meter) - place.bar.length
        if missing > 0 and place.bar.length <= room:
            room -= place.bar.length
            numbers.append((number, False))
            continue
        number += 1
        room = missing if number else Fraction(0)
        numbers.append((number, number > 0))
    return numbers
