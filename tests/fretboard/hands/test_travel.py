"""Travel: laws of a distance, and ways measured by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Fingering, limits_at
from harmonykit.fretboard.hands.travel import (
    Stance,
    stance,
    stances,
    travel_between,
    travel_mm,
    way_mm,
)
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


def shape(digits: str) -> Voicing:
    return Voicing.parse(digits, UKULELE if 4 in (len(digits), len(digits.split("-"))) else GUITAR)


SHAPES = find_voicings(Chord.parse("Am7"), UKULELE) + find_voicings(Chord.parse("F#dim7"), UKULELE)
some_shape = st.sampled_from(SHAPES)


@given(some_shape, some_shape)
def test_travel_is_the_same_there_and_back_and_nothing_to_stay(a: Voicing, b: Voicing) -> None:
    assert travel_mm(a, b) == travel_mm(b, a) >= 0
    assert travel_mm(a, a) == 0


def test_a_shape_that_slides_travels_as_far_as_its_frets() -> None:
    # One finger a note on the same strings, 2 to 5 and 3 to 6: the mean of the two ways.
    finger = UKULELE.finger_mm
    ways = [finger(5) - finger(2), finger(6) - finger(3)]
    assert travel_mm(shape("2323"), shape("5656")) == pytest.approx(sum(ways) / 2)


def test_a_finger_that_moves_alone_moves_a_quarter_of_the_hand() -> None:
    # 2-0-1-0 to 2-0-0-0: the index lifts, the middle finger stays, so the hand does.
    assert travel_mm(shape("2010"), shape("2000")) == 0
    # x02210 to 022100 (Am to E): three fingers cross one string each, 9 mm.
    assert travel_mm(shape("x02210"), shape("022100")) == pytest.approx(3 * 9 / 4)


def test_from_open_strings_the_hand_comes_from_first_position() -> None:
    way = UKULELE.finger_mm(12) - UKULELE.finger_mm(1)
    assert travel_mm(shape("0000"), shape("12-12-12-12")) == pytest.approx(way)
    assert travel_mm(shape("0000"), shape("0003")) == 0


def test_the_matrix_is_the_travel_of_each_pair() -> None:
    one_by_one = [[travel_mm(a, b) for b in SHAPES[:9]] for a in SHAPES]
    np.testing.assert_allclose(travel_between(stances(SHAPES), stances(SHAPES[:9])), one_by_one)
    assert travel_between(stances(SHAPES[:2]), stances(())).shape == (2, 0)


def test_no_hand_travels_to_a_shape_it_cannot_hold_or_to_another_neck() -> None:
    with pytest.raises(HarmonyError, match="1-9-1-9 has no fingering"):
        travel_mm(shape("0000"), shape("1-9-1-9"))
    with pytest.raises(HarmonyError, match="different instruments"):
        travel_mm(shape("0000"), shape("x32010"))
    with pytest.raises(HarmonyError, match="3-2-1-1 has no fingering"):
        stances([shape("3211"), shape("0000")], limits_at(1, UKULELE))


def test_a_stance_is_where_the_fingers_are() -> None:
    # 0-2-3-2: the index at fret 2 of the second string, 9 mm from the first, and so on.
    found = stance((0, 2, 3, 2), Fingering((0, 1, 3, 2)), UKULELE)
    finger = UKULELE.finger_mm
    assert found.tips == {1: (finger(2), 9.0), 3: (finger(3), 18.0), 2: (finger(2), 27.0)}
    assert found.hand == finger(2)
    assert stance((0, 0, 0, 0), Fingering((0, 0, 0, 0)), UKULELE) == Stance(finger(1), {})


def test_a_way_is_the_mean_of_four_fingers() -> None:
    # The index goes 3 along and 4 across, the middle finger is free in one of the two.
    a = Stance(10.0, {1: (10.0, 0.0), 2: (12.0, 9.0)})
    b = Stance(13.0, {1: (13.0, 4.0)})
    assert way_mm(a, b) == pytest.approx((math.hypot(3, 4) + 3 * 3) / 4)
