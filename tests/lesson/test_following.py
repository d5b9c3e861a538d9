"""Where the beats of a recording are: every way through small ones is tried."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.lesson.following import Pulse, follow, pulses_of
from harmonykit.sound.recording import STEP

Arranged = Callable[..., Arrangement]


def test_pulses_are_beats_and_parts_of_beats(arranged: Arranged) -> None:
    way = arranged("C=0003 F:5/2=2010 | F=2010")
    pulses = pulses_of(way)
    assert [pulse.beats for pulse in pulses] == [1, 1, 0.5, 0.5, 1, 1, 1, 1, 1]
    assert [pulse.bar for pulse in pulses] == [0] * 5 + [1] * 4
    assert [place for place, pulse in enumerate(pulses) if pulse.enters] == [0, 3]
    assert [place for place, pulse in enumerate(pulses) if pulse.opens] == [0, 5]
    assert [pulse.beats for pulse in pulses_of(arranged("C=0003", (6, 8)))] == [1.5, 1.5]


def fits_of(lengths: list[int], sounds: list[int], count: int) -> np.ndarray:
    """Return how probable each sound is where each sounds for so many moments."""
    rows = [np.eye(count)[sound] * 0.9 + 0.1 / count for sound in sounds]
    return np.repeat(rows, lengths, axis=0)


def four(bars: int) -> tuple[Pulse, ...]:
    return tuple(
        Pulse(bar, bar, 1.0, beat == 0, beat == 0) for bar in range(bars) for beat in range(4)
    )


# At 120 a beat has half a second.
BEAT = round(0.5 / STEP)


@pytest.mark.parametrize("pace", [0.5, 0.7, 0.9, 1.0, 1.25])
@pytest.mark.parametrize("lead", [0, 7, 50])
def test_an_even_player_is_followed_at_any_tempo(pace: float, lead: int) -> None:
    beat = BEAT / pace
    edges = [lead + round(4 * beat * bar) for bar in range(6)]
    lengths = [lead, *(b - a for a, b in pairwise(edges)), 20]
    sounds = [3, 0, 1, 0, 2, 1, 3]
    columns = [sound for sound in sounds[1:-1] for _ in range(4)]
    rises = np.zeros(sum(lengths))
    found = follow(four(5), 120.0, fits_of(lengths, sounds, 4), columns, rises)
    assert found.pace == pytest.approx(pace, rel=0.04)
    starts = [
        first for pulse, (first, _) in zip(found.pulses, found.spans, strict=True) if pulse.opens
    ]
    assert starts == pytest.approx(edges[:-1], abs=2)


def test_a_wrong_bar_a_pause_and_a_bar_left_out_do_not_shift_the_rest() -> None:
    bar = 4 * BEAT
    asked = [0, 1, 2, 0, 1, 2, 0, 1]
    columns = [sound for sound in asked for _ in range(4)]
    rises = np.zeros(20 * bar)

    def starts(lengths: list[int], sounds: list[int]) -> list[int]:
        found = follow(four(8), 120.0, fits_of(lengths, sounds, 4), columns, rises[: sum(lengths)])
        pairs = zip(found.pulses, found.spans, strict=True)
        return [first for pulse, (first, _) in pairs if pulse.opens]

    whole = [bar * place for place in range(8)]
    assert starts([bar] * 8, [0, 1, 3, 0, 1, 3, 0, 1]) == pytest.approx(whole, abs=1)
    late = [at + (BEAT * 3 if place > 3 else 0) for place, at in enumerate(whole)]
    waiting = starts([bar] * 4 + [BEAT * 3] + [bar] * 4, [0, 1, 2, 0, 3, 1, 2, 0, 1])
    assert waiting == pytest.approx(late, abs=2)
    gone = [bar * (place - (place > 3)) for place in range(8)]
    assert starts([bar] * 7, [0, 1, 2, 1, 2, 0, 1]) == pytest.approx(gone, abs=1)


def ways(moments: int, pulses: int, least: int, most: int) -> Iterator[tuple[int, ...]]:
    """Yield all ways to put pulses of some lengths in a row, each as where it begins and ends."""

    def on(edges: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if len(edges) > pulses:
            yield edges
            return
        for length in range(least, most + 1):
            if edges[-1] + length <= moments:
                yield from on((*edges, edges[-1] + length))

    for start in range(moments):
        yield from on((start,))


def test_the_best_of_all_ways_is_found() -> None:
    """Three beats of one bar, by brute force over every way to place them.

    What is compared is the sum of the logarithms inside, those of a quarter outside, and the
    squares of how uneven the beats are, as the module tells it.
    """
    chance = np.random.default_rng(6)
    for _ in range(5):
        fits, rises = chance.uniform(0, 1, (18, 2)), chance.uniform(0, 1, 18)
        pulses = tuple(Pulse(i, 0, 1.0, i == 0, i == 0) for i in range(3))
        # At this tempo a beat has four moments.
        found = follow(pulses, 60 / STEP / 4, fits, [0, 1, 0], rises)
        quarter = 4 / found.pace
        every = ways(18, 3, max(int(0.5 * quarter), 1), int(2.2 * quarter) + 1)
        best = max(worth(edges, quarter, fits, rises) for edges in every)
        assert found.worth == pytest.approx(best)


def worth(edges: tuple[int, ...], quarter: float, fits: np.ndarray, rises: np.ndarray) -> float:
    weight = 2 / 4
    total = np.log(0.25) * weight * (18 - edges[-1] + edges[0])
    for (first, last), column in zip(pairwise(edges), (0, 1, 0), strict=True):
        uneven = (np.log((last - first) / quarter) / 0.12) ** 2 / 2
        total += np.log(0.05 + 0.95 * fits[first:last, column]).sum() * weight
        total += 0.7 * rises[first] - min(uneven, 4)
    return float(total)


@pytest.mark.parametrize("step", range(12))
def test_a_tempo_is_found_within_two_in_a_hundred(step: int) -> None:
    """From two fifths of the level's tempo to seven fifths, between what is tried first too."""
    for pace in (0.4 * 1.12**step, 0.4 * 1.12**step * 1.03, 0.4 * 1.12 ** (step - 0.5)):
        beat = BEAT / pace
        edges = [round(4 * beat * bar) for bar in range(7)]
        columns = [sound for sound in (0, 1, 2, 0, 2, 1) for _ in range(4)]
        fits = fits_of([b - a for a, b in pairwise(edges)], columns[::4], 3)
        found = follow(four(6), 120.0, fits, columns, np.zeros(edges[-1]))
        assert found.pace == pytest.approx(pace, rel=0.02)


def best_way(
    bars: int, length: Callable[[int, int, int], float], slow: float, outside: np.ndarray
) -> float:
    """Return what the best of all ways is worth to play bars of one pulse each.

    Before each bar something else may sound, for 5; a bar may be left out, for 16; all from a bar
    on may be left out, for 12 and 3 for each; a slow player's bars cost more.
    """
    moments = len(outside) - 1

    @cache
    def rest(bar: int, at: int) -> float:
        over = float(outside[moments] - outside[at])
        if bar == bars:
            return over
        found = [over - (12 + 3 * (bars - bar)) * slow] if bar else []
        found += [rest(bar + 1, at) - 16 * slow] if bar < bars - 1 else []
        for start in range(at, moments):
            waited = 0.0 if start == at else outside[start] - outside[at] - 5
            for end in range(start + 1, moments + 1):
                found.append(waited + length(bar, start, end) + rest(bar + 1, end))
        return float(max(found))

    return max(float(outside[at]) + rest(0, at) for at in range(moments))


# Which bar's chord sounds in each quarter of the time, 3 for none of them; and what is done.
PLAYED = [
    ([0] * 8 + [2] * 8, "out"), ([0] * 8 + [1] * 8, "off"), ([0] * 8, "off"),
    ([0] * 8 + [3] * 9 + [1] * 8 + [2] * 8, "wait"), ([0] * 8 + [1] * 8 + [2] * 8, ""),
    ([0] * 14 + [2] * 14, "out"),
]  # fmt: skip


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize(("sounds", "done"), PLAYED)
def test_what_is_waited_for_left_out_or_broken_off_is_so_in_the_best_of_all_ways(
    sounds: list[int], done: str, seed: int
) -> None:
    chance = np.random.default_rng(seed)
    count = len(sounds)
    fits = np.eye(4)[sounds][:, :3] * 0.97 + chance.uniform(0, 0.03, (count, 3))
    rises = chance.uniform(0, 1, count)
    # A quarter has one moment, and a bar eight quarters.
    pulses = tuple(Pulse(i, i, 8.0, opens=True, enters=True) for i in range(3))
    found = follow(pulses, 60 / STEP, fits, [0, 1, 2], rises)
    steady, slow = 8 / found.pace, max(1 / found.pace, 1.0)
    logs = 2 * np.log(0.05 + 0.95 * fits)
    outside = np.concatenate(([0.0], np.full(count, 2 * np.log(0.25)).cumsum()))

    def length(bar: int, start: int, end: int) -> float:
        if not int(0.5 * steady) <= end - start <= int(2.2 * steady) + 1:
            return -np.inf
        uneven = min((np.log((end - start) / steady) / 0.12) ** 2 / 2, 4)
        return float(logs[start:end, bar].sum() + 0.7 * rises[start] - uneven)

    assert found.worth == pytest.approx(best_way(3, length, slow, outside))
    first, second, third = (last - start for start, last in found.spans)
    assert first > 0
    wait = found.spans[1][0] > found.spans[0][1] and second > 0
    told = "off" if not third else "out" if not second else "wait" if wait else ""
    assert told == done
