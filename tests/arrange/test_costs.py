"""Costs against a plain restatement of what the documentation says, and against other roads."""

from __future__ import annotations

from itertools import chain, combinations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.arrange.costs import (
    Shapes,
    Weights,
    change_costs,
    pair_semitones,
    shape_costs,
    travelling_hand,
    voice_pairs,
    voice_semitones,
)
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.voicing import Voicing, find_voicings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
HAND = Limits(max_fret=15)
PRICES = Weights(semitone=7, top=3, travel=2, string=5, stretch=1, height=4)

pitches = st.lists(st.integers(40, 80), min_size=1, max_size=5).map(lambda p: tuple(sorted(p)))


def shapes(*digits: str, instrument: Instrument = UKULELE) -> Shapes:
    return Shapes(tuple(Voicing.parse(text, instrument) for text in digits), PRICES, HAND)


def test_a_shape_costs_its_stretch_and_its_height() -> None:
    # 381 mm of scale: wire n stands at 381 (1 - 2^(-n/12)) (theory of equal temperament).  From
    # wire 1 to wire 3 of 1-2-3-x are 39.2 mm; an open shape costs nothing.
    assert list(shape_costs(shapes("1231", "0000", "0003"), PRICES)) == [39 + 4 * 3, 0, 4 * 3]


def test_a_change_of_shape_by_hand() -> None:
    # C6 0-0-0-0 (67 60 64 69) to B dim7 1-2-1-2 (68 62 65 71): voices 60-62, 64-65, 67-68, 69-71
    # are 6 semitones, the top 2, all four strings; travel is the hand's own.
    before, after = shapes("0000"), shapes("1212")
    travel = round(travel_mm(before.voicings[0], after.voicings[0], HAND))
    assert change_costs(before, after, PRICES).tolist() == [[7 * 6 + 3 * 2 + 2 * travel + 5 * 4]]


def test_a_change_to_the_same_shape_is_free() -> None:
    some = shapes("0000", "1212", "2433")
    assert change_costs(some, some, PRICES).diagonal().tolist() == [0, 0, 0]


@pytest.mark.parametrize(
    ("instrument", "chords"), [(UKULELE, ("C6", "Bdim7", "G7")), (GUITAR, ("C6", "Bdim7"))]
)
def test_every_change_is_what_the_documentation_says(
    instrument: Instrument, chords: tuple[str, ...]
) -> None:
    many = len(instrument.strings) > 4
    rows = []
    for symbol in chords:
        found = find_voicings(Chord.parse(symbol), instrument, max_fret=5, mutes=many)[:40]
        rows.append(Shapes(found, PRICES, travelling_hand(Limits(), instrument)))
    for before, after in product(rows, rows):
        costs = change_costs(before, after, PRICES)
        for (i, a), (j, b) in product(enumerate(before.voicings), enumerate(after.voicings)):
            strings = len([1 for x, y in zip(a.frets, b.frets, strict=True) if x != y])
            expected = (
                7 * fewest(tuple(sorted(a.sounding)), tuple(sorted(b.sounding)))
                + 3 * abs(max(a.sounding) - max(b.sounding))
                + 2 * round(travel_mm(a, b))
                + 5 * strings
            )
            assert costs[i, j] == expected


def fewest(a: tuple[int, ...], b: tuple[int, ...]) -> int:
    """Return the least semitones: sorted voices, or every way to join each note (bisected)."""
    if len(a) == len(b):
        return sum(abs(x - y) for x, y in zip(a, b, strict=True))
    return _joined(a, b)


def _joined(a: tuple[int, ...], b: tuple[int, ...]) -> int:
    """Return the cheapest non-crossing way, by recursion on the highest notes."""
    gap = abs(a[-1] - b[-1])
    if len(a) == 1 and len(b) == 1:
        return gap
    ways = []
    if len(a) > 1:
        ways.append(_joined(a[:-1], b))
    if len(b) > 1:
        ways.append(_joined(a, b[:-1]))
    if len(a) > 1 and len(b) > 1:
        ways.append(_joined(a[:-1], b[:-1]))
    return gap + min(ways)


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
    from scipy.optimize import linear_sum_assignment

    a, b = (np.array(sorted(chord)) for chord in pair)
    gaps = np.abs(a[:, None] - b[None, :])
    rows, columns = linear_sum_assignment(gaps)
    assert pair_semitones(tuple(a.tolist()), tuple(b.tolist())) == gaps[rows, columns].sum()


@given(st.lists(pitches, min_size=1, max_size=4), st.lists(pitches, min_size=1, max_size=4))
def test_arrays_of_chords_of_all_sizes_say_the_same(
    before: list[tuple[int, ...]], after: list[tuple[int, ...]]
) -> None:
    moved = voice_semitones(before, after)
    assert moved.tolist() == [[fewest(a, b) for b in after] for a in before]


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
    from harmonykit.theory.leading.voiceleading import distance

    c6, bdim, ukulele = Chord.parse("C6"), Chord.parse("Bdim7"), UKULELE
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
    from harmonykit.theory.leading.voiceleading import distance

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


def test_a_hand_travels_with_the_fingerings_of_a_wide_one() -> None:
    assert travelling_hand(Limits(5, 67.0, "none"), UKULELE) == Limits(15, 98.0, "full")
    assert travelling_hand(Limits(5, 120.0), UKULELE) == Limits(15, 120.0, "full")


def test_costs_are_whole_numbers() -> None:
    costs = change_costs(shapes("0000", "2010"), shapes("1212", "3211", "0003"), PRICES)
    assert costs.dtype == np.int64 and costs.shape == (2, 3)
