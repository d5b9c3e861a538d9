"""Staircases against all sets of pairs, scipy's assignment, and the distance round the circle."""

from __future__ import annotations

from itertools import chain, combinations, product

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from joined import fewest
from scipy.optimize import linear_sum_assignment

from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.staircase import cheapest, pair_semitones, total, voice_pairs
from harmonykit.theory.leading.voiceleading import distance

pitches = st.lists(st.integers(40, 80), min_size=1, max_size=5).map(lambda p: tuple(sorted(p)))
matrices = st.integers(1, 4).flatmap(
    lambda m: st.lists(st.lists(st.integers(0, 9), min_size=m, max_size=m), min_size=1, max_size=4)
)


def ways_down(i: int, j: int) -> list[list[tuple[int, int]]]:
    """Return every staircase from the first corner to a place."""
    if (i, j) == (0, 0):
        return [[(0, 0)]]
    behind = [(i - 1, j - 1), (i - 1, j), (i, j - 1)]
    before = [way for at in behind if min(at) >= 0 for way in ways_down(*at)]
    return [[*way, (i, j)] for way in before]


@given(matrices)
def test_the_cheapest_of_all_staircases(prices: list[list[int]]) -> None:
    every = ways_down(len(prices) - 1, len(prices[0]) - 1)
    costs = [sum(prices[i][j] for i, j in way) for way in every]
    way = cheapest(prices)
    assert way in every
    assert total(prices) == min(costs) == sum(prices[i][j] for i, j in way)
    arrays = [[np.array([price, 2 * price]) for price in row] for row in prices]
    found = total(arrays, lambda ways: np.minimum.reduce(list(ways)))
    assert found.tolist() == [min(costs), 2 * min(costs)]


def covers(a: tuple[int, ...], b: tuple[int, ...]) -> int:
    """Return the least sum over all sets of pairs in which every note of both takes part."""
    pairs = list(product(range(len(a)), range(len(b))))
    every = chain.from_iterable(combinations(pairs, n) for n in range(1, len(a) + len(b)))
    return min(
        sum(abs(a[i] - b[j]) for i, j in some)
        for some in every
        if {i for i, _ in some} == set(range(len(a))) and {j for _, j in some} == set(range(len(b)))
    )


@given(
    st.tuples(
        st.lists(st.integers(40, 60), min_size=1, max_size=3),
        st.lists(st.integers(40, 60), min_size=1, max_size=3),
    ).filter(lambda pair: len(pair[0]) != len(pair[1]))
)
def test_unequal_chords_are_joined_at_least_cost(pair: tuple[list[int], list[int]]) -> None:
    """No set of pairs that uses every note, crossing or not, costs less."""
    a, b = tuple(sorted(pair[0])), tuple(sorted(pair[1]))
    assert pair_semitones(a, b) == covers(a, b)


@given(
    st.integers(1, 5).flatmap(
        lambda n: st.tuples(*[st.lists(st.integers(40, 80), min_size=n, max_size=n)] * 2)
    )
)
def test_equal_chords_are_matched_as_a_general_library_does(
    pair: tuple[list[int], list[int]],
) -> None:
    """The sorted matching is scipy's linear assignment on the pitch line."""
    a, b = (np.array(sorted(chord)) for chord in pair)
    gaps = np.abs(a[:, None] - b[None, :])
    rows, columns = linear_sum_assignment(gaps)
    assert pair_semitones(tuple(a.tolist()), tuple(b.tolist())) == gaps[rows, columns].sum()


@given(pitches, pitches)
def test_pairs_use_every_note_rise_together_and_sum_to_the_cost(
    a: tuple[int, ...], b: tuple[int, ...]
) -> None:
    pairs = voice_pairs(a, b)
    assert sorted({low for low, _ in pairs}) == sorted(set(a))
    assert sorted({high for _, high in pairs}) == sorted(set(b))
    assert pairs == sorted(pairs)
    assert all(x[1] <= y[1] for x, y in zip(pairs, pairs[1:], strict=False))
    assert sum(abs(low - high) for low, high in pairs) == pair_semitones(a, b)


@given(pitches, pitches)
def test_the_way_back_costs_the_same(a: tuple[int, ...], b: tuple[int, ...]) -> None:
    assert pair_semitones(a, b) == pair_semitones(b, a)


def test_the_pitch_line_is_never_shorter_than_the_circle() -> None:
    """Pitches move at least as far as the pitch classes of ``distance`` do."""
    c6, bdim = Chord.parse("C6"), Chord.parse("Bdim7")
    ukulele = Instrument.named("ukulele")
    least = distance(c6, bdim)
    ways = [
        pair_semitones(tuple(sorted(a.sounding)), tuple(sorted(b.sounding)))
        for a in find_voicings(c6, ukulele)
        for b in find_voicings(bdim, ukulele)
    ]
    # C E G A to B D F A flat: down by 1, 2, 2 and 1.
    assert min(ways) == least == 6


def test_within_an_octave_the_best_rotation_is_the_distance() -> None:
    """Where every close position of two chords is at hand, the least of them is the distance."""
    for first, second in product(("C6", "G7", "Bdim7", "Fm6", "Am7b5"), repeat=2):
        a, b = Chord.parse(first), Chord.parse(second)
        close = [position for octave in (48, 60, 72) for position in rotations(b, octave)]
        start = rotations(a, 60)[0]
        assert min(fewest(start, other) for other in close) == distance(a, b)
        assert min(pair_semitones(start, other) for other in close) == distance(a, b)


def rotations(chord: Chord, low: int) -> list[tuple[int, ...]]:
    """Return the close positions of a chord that start in one octave."""
    pcs = list(chord.pcs)
    turned = [pcs[n:] + [pc + 12 for pc in pcs[:n]] for n in range(len(pcs))]
    return [tuple(low + pc for pc in position) for position in turned]
