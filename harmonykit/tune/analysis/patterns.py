"""Patterns of a tune: the twelve bars of a blues, riffs of the melody, vamps of the chords.

A chorus of a blues has I in bars 1 and 7 and IV in bar 5; a blues has nothing but whole choruses,
and its I7 and IV7 are chords at rest.  It is minor where its I is.  Riffs and vamps are figures
that come again and again; their bars are counted in playing order from 0.  (Common practice, no
source.)
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import groupby, pairwise
from typing import TypeVar

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key, falls_a_fifth
from harmonykit.tune.tune import INTRO, TAG, PlayedBar, Tune

BARS = 12
_TONIC_BARS, _FOURTH_BAR = (0, 6), 4
_FOURTH = 5


def blues_mode(opening: Sequence[Chord | None], key: Key) -> str:
    """Return the mode of a blues, or nothing where the bars are not one.

    Parameters
    ----------
    opening : sequence of Chord or None
        The chord at the start of each bar.
    key : Key

    Returns
    -------
    {"major", "minor", ""}

    Examples
    --------
    >>> bars = "C7 F7 C7 C7 F7 F7 C7 A7 Dm7 G7 C7 G7".split()
    >>> blues_mode([Chord.parse(each) for each in bars], Key.parse("C"))
    'major'
    >>> blues_mode([Chord.parse(each) for each in bars], Key.parse("F"))
    ''
    """
    if not opening or len(opening) % BARS:
        return ""
    tonic = key.tonic.pitch_class
    modes = set()
    for start in range(0, len(opening), BARS):
        home = [opening[start + bar] for bar in _TONIC_BARS]
        fourth = opening[start + _FOURTH_BAR]
        above = [-1 if one is None else (one.root.pitch_class - tonic) % 12 for one in home]
        if any(above) or fourth is None or home[0] is None:
            return ""
        if (fourth.root.pitch_class - tonic) % 12 != _FOURTH:
            return ""
        # A plain or a sixth chord on IV is as good in a song of twelve bars that is not a blues.
        if not (home[0].is_minor or home[0].is_dominant or fourth.is_dominant):
            return ""
        modes.add("minor" if home[0].is_minor else "major")
    return modes.pop() if len(modes) == 1 else ""


def blues_of(tune: Tune) -> str:
    """Return the mode of a tune that is a blues as it is played, or nothing.

    An intro and a tag are no part of it.

    Examples
    --------
    >>> blues_of(Tune.parse("| C7 | F7 | C7 | C7 | F7 | F7 | C7 | A7 | Dm7 | G7 | C7 | G7 |"))
    'major'
    """
    bars = [
        played
        for played in tune.playing
        if played.bar.number and played.section not in (INTRO, TAG)
    ]
    changes, opening = tune.changes, []
    for played in bars:
        sounding = [change.chord for change in changes if change.onset <= played.onset]
        opening.append(sounding[-1] if sounding else None)
    return blues_mode(opening, tune.key)


_Row = TypeVar("_Row")
_RIFF_TIMES, _VAMP_TIMES, _VAMP_BARS = 3, 4, 8


def riff_bars(tune: Tune) -> frozenset[int]:
    """Return the bars of a melodic figure of one or two bars that is heard three times in a row.

    Examples
    --------
    >>> from harmonykit.score.files import read_tune
    >>> sorted(riff_bars(read_tune("heron_landing")))
    []
    """
    heard = [
        tuple((note.at, note.beats, note.note.midi) for note in played.bar.melody)
        for played in tune.playing
    ]
    found = _again(heard, (1, 2), _RIFF_TIMES, lambda figure: sum(map(len, figure)) > 1)
    return frozenset(found)


def vamp_bars(tune: Tune) -> frozenset[int]:
    """Return the bars of a vamp: marked as one, one chord for eight bars, or two bars four times.

    Where a dominant falls a fifth the harmony goes somewhere, and it is none.

    Examples
    --------
    >>> len(vamp_bars(Tune.parse("|: Dm7 | G :|x4 Am | Dm |", key="D minor")))
    8
    """
    playing = tune.playing
    found, inside = set[int](), False
    for index, played in enumerate(playing):
        inside = inside or "vamp" in played.bar.signs
        if inside:
            found.add(index)
        inside = inside and not played.bar.closes
    found.update(_again(_chords_by_bar(tune, playing), (1, 2), _VAMP_TIMES, _stays))
    return frozenset(found)


def _chords_by_bar(
    tune: Tune, playing: Sequence[PlayedBar]
) -> list[tuple[tuple[Fraction, Chord | None], ...]]:
    changes = tune.changes
    onsets = [change.onset for change in changes]
    rows = []
    for played in playing:
        start, end = played.onset, played.onset + played.bar.length
        first, stop = bisect_right(onsets, start) - 1, bisect_left(onsets, end)
        row = ((max(onsets[n], start) - start, changes[n].chord) for n in range(first, stop))
        rows.append(tuple(row))
    return rows


def _stays(figure: Sequence[tuple[tuple[Fraction, Chord | None], ...]]) -> bool:
    """Whether nothing in a figure that comes again falls a fifth from a dominant."""
    chords = [chord for row in figure for _, chord in row]
    if None in chords:
        return False
    kept = [chord for chord, _ in groupby(chords) if chord is not None]
    return not any(
        before.is_dominant and falls_a_fifth(before, after)
        for before, after in pairwise([*kept, kept[0]])
    )


def _again(
    rows: Sequence[_Row], sizes: Iterable[int], times: int, counts: Callable[[Sequence[_Row]], bool]
) -> Iterator[int]:
    """Yield the places of figures of some sizes that come so many times in a row."""
    for size in sizes:
        least = max(times * size, _VAMP_BARS if times == _VAMP_TIMES else 0)
        start = 0
        while start + least <= len(rows):
            stop = start + size
            while stop < len(rows) and rows[stop] == rows[stop - size]:
                stop += 1
            if stop - start >= least and counts(rows[start : start + size]):
                yield from range(start, stop)
                start = stop
            else:
                # What starts later and goes on to the same bar is shorter, or a turn of the figure.
                start = stop - size + 1
