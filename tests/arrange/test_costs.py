"""Costs against a plain restatement of what the documentation says, and against other roads."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import pytest
from joined import fewest
from small_tunes import NOTHING

from harmonykit.arrange.costs import (
    Shapes,
    change_costs,
    cheapest_row,
    shape_costs,
    travel_rounded,
    travelling_hand,
)
from harmonykit.arrange.weights import Weights
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
HAND = Limits(max_fret=15)
PRICES = replace(NOTHING, semitone=7, top=3, travel=2, string=5, stretch=1, height=4, sounding=11)


def shapes(*digits: str, instrument: Instrument = UKULELE) -> Shapes:
    return Shapes(tuple(Voicing.parse(text, instrument) for text in digits), PRICES, HAND)


def test_a_shape_costs_its_stretch_and_its_height() -> None:
    # 381 mm of scale: wire n stands at 381 (1 - 2^(-n/12)) (theory of equal temperament).  From
    # wire 1 to wire 3 of 1-2-3-x are 39.2 mm; an open shape costs nothing.
    assert list(shape_costs(shapes("1231", "0000", "0003"), PRICES)) == [39 + 4 * 3, 0, 4 * 3]


def test_what_a_chord_book_prints_far_back_costs_by_the_place() -> None:
    # Places from 0: the first six are free, and after ten more all are alike.
    row = tuple(Voicing.parse("353333", GUITAR) for _ in range(5))
    prices = replace(NOTHING, book=3)
    priced = Shapes(row, prices, HAND, places=(0, 5, 6, 9, 90))
    assert list(priced.own) == [0, 0, 3, 12, 30]


def test_a_change_of_shape_by_hand() -> None:
    # C6 0-0-0-0 (67 60 64 69) to B dim7 1-2-1-2 (68 62 65 71): voices 60-62, 64-65, 67-68, 69-71
    # are 6 semitones, whose square over 16 is 2, the top 2, all four strings; travel is apart.
    before, after = shapes("0000"), shapes("1212")
    travel = round(travel_mm(before.voicings[0], after.voicings[0], HAND))
    assert change_costs(before, after, PRICES).tolist() == [[7 * (6 + 2) + 3 * 2 + 5 * 4]]
    assert travel_rounded(before, after).tolist() == [[travel]]


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
        found = find_voicings(
            Chord.parse(symbol), instrument, max_fret=5, wanted=Wanted(mutes=many)
        )[:40]
        rows.append(Shapes(found, PRICES, travelling_hand(Limits(), instrument)))
    for before, after in product(rows, rows):
        costs = change_costs(before, after, PRICES)
        for (i, a), (j, b) in product(enumerate(before.voicings), enumerate(after.voicings)):
            strings = len([1 for x, y in zip(a.frets, b.frets, strict=True) if x != y])
            moved = fewest(tuple(sorted(a.sounding)), tuple(sorted(b.sounding)))
            most = max(len(a.sounding), len(b.sounding))
            other = [f is None for f in a.frets] != [f is None for f in b.frets]
            expected = (
                7 * (moved + moved**2 // (4 * most))
                + 3 * abs(max(a.sounding) - max(b.sounding))
                + 5 * strings
                + 11 * other
            )
            assert travel_rounded(before, after)[i, j] == round(travel_mm(a, b))
            assert costs[i, j] == expected


def test_a_hand_travels_with_the_fingerings_of_a_wide_one() -> None:
    assert travelling_hand(Limits(5, 67.0, "none"), UKULELE) == Limits(15, 98.0, "full")
    assert travelling_hand(Limits(5, 120.0), UKULELE) == Limits(15, 120.0, "full")


def test_costs_are_whole_numbers() -> None:
    costs = change_costs(shapes("0000", "2010"), shapes("1212", "3211", "0003"), PRICES)
    assert costs.dtype == np.int64 and costs.shape == (2, 3)


@pytest.mark.parametrize("names", ["C6 Bdim7 C6", "G7 C7", "F6", "Am7 D7 G7"])
def test_the_row_is_the_cheapest_of_all(names: str) -> None:
    prices = Weights()
    rows = [find_voicings(Chord.parse(name), UKULELE, max_fret=5) for name in names.split()]
    priced = [Shapes(row, prices, travelling_hand(Limits(), UKULELE)) for row in rows]
    costs = [
        sum(int(shapes.own[n]) for shapes, n in zip(priced, nodes, strict=True))
        + sum(
            int(change_costs(a, b, prices)[m, n] + prices.travel * travel_rounded(a, b)[m, n])
            for (a, m), (b, n) in pairwise(zip(priced, nodes, strict=True))
        )
        for nodes in product(*(range(len(row)) for row in rows))
    ]
    chosen, cost = cheapest_row(rows, UKULELE, Limits(), prices)
    assert cost == min(costs) and all(v in row for v, row in zip(chosen, rows, strict=True))


def test_nothing_is_counted_across_a_silence() -> None:
    row = find_voicings(Chord.parse("C6"), UKULELE, max_fret=5)
    (_, alone), (chosen, cost) = (
        cheapest_row(rows, UKULELE, Limits(), Weights()) for rows in ([row], [row, (), row])
    )
    assert chosen[1] is None and cost == 2 * alone
