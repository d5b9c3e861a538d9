"""How far voices move: against brute force over every way to pair them, and laws."""

from __future__ import annotations

from functools import lru_cache
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plotted import TUNES, ways_of
from small_tunes import tune_of

from harmonykit.arrange.measures import measure
from harmonykit.arrange.movement import least_semitones, mean_semitones, movements
from harmonykit.arrange.search import reharmonise

pitches = st.lists(st.integers(50, 75), min_size=1, max_size=4).map(lambda p: tuple(sorted(p)))


@lru_cache(maxsize=4096)
def slowly(before: tuple[int, ...], after: tuple[int, ...], circle: bool, free: bool) -> int:
    """Return the least over every way in which each voice has a partner, one by one.

    Where voices are as many and not free each has one partner alone; else a voice may have
    several.  On the circle a voice goes the shorter way round.
    """

    def far(a: int, b: int) -> int:
        apart = abs(a - b)
        return min(apart % 12, -apart % 12) if circle else apart

    best = 10**6
    # Each voice of one side takes a partner; what is left of the other side takes its nearest.
    for ends in product(range(len(after)), repeat=len(before)):
        left = {*range(len(after))} - {*ends}
        if left and not free and len(before) == len(after):
            continue
        total = sum(far(a, after[end]) for a, end in zip(before, ends, strict=True))
        total += sum(min(far(a, after[end]) for a in before) for end in left)
        best = min(best, total)
    return best


@pytest.mark.parametrize("tune", TUNES)
def test_the_curve_has_the_least_movement_of_these_voices(tune: str) -> None:
    for way in ways_of(tune):
        moved = movements(way)
        assert moved
        for each in moved:
            before, after = each.before.sounds, each.after.sounds
            assert each.semitones == slowly(before, after, False, len(before) != len(after))
            assert 0 <= each.leap <= each.semitones
            assert each.least <= each.semitones


@given(pitches, pitches)
def test_the_least_is_that_of_every_pairing_round_the_circle(
    before: tuple[int, ...], after: tuple[int, ...]
) -> None:
    one, other = ({pitch % 12 for pitch in notes} for notes in (before, after))
    free = len({len(before), len(after), len(one), len(other)}) > 1
    found = least_semitones(before, after)
    assert found == slowly(tuple(sorted(one)), tuple(sorted(other)), True, free)
    # An octave is no distance, and there is as far as back.
    assert least_semitones(after, before) == found
    assert least_semitones(tuple(sorted((before[0] + 12, *before[1:]))), after) == found


@pytest.mark.parametrize("tune", TUNES)
def test_changes_add_up_to_the_measures_and_bars_do_not_start_again(tune: str) -> None:
    for way in ways_of(tune):
        found, moved = measure(way), movements(way)
        assert sum(each.semitones for each in moved) == found.semitones
        assert mean_semitones(moved) == pytest.approx(found.mean_movement)
        numbers = [each.number for each in moved]
        assert numbers == sorted(numbers) and 1 <= numbers[0] and numbers[-1] <= way.tune.bar_count
        onsets = {played.onset: place for place, played in enumerate(way.tune.playing, 1)}
        assert [onsets[at] for at in (way.tune.playing[n - 1].onset for n in numbers)] == numbers


def test_a_silence_and_a_held_shape_are_no_changes() -> None:
    """By hand: C6 and Am7 have the same notes; after N.C. the hand begins anew."""
    (way,) = reharmonise(tune_of("| C6 | Am7 | N.C. | F6 |"), "ukulele", (), k=1)
    assert movements(way) == () and mean_semitones(()) == 0
