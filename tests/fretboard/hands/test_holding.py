"""Holding: the quick answer and the best fingering agree with all the ways that there are."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.fretboard.hands.fingering import assignments, awkwardness, position_of
from harmonykit.fretboard.hands.holding import can_hold, fit, ways_to_finger, wires_of
from harmonykit.fretboard.hands.limits import BARRES, Limits
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
SHORT = Instrument.parse("G4 C4 E4 A4", scale_mm=250, frets=15)

necks = st.sampled_from([UKULELE, GUITAR, SHORT])
hands = st.builds(
    Limits,
    st.integers(4, 15),
    st.sampled_from([53.6, 67.0, 80.0, 98.0]),
    st.sampled_from(BARRES),
    st.sampled_from([0.0, 8.0, 11.0, 15.0]),
)
offsets = st.lists(st.sampled_from([None, -99, 0, 0, 0, 1, 1, 2, 3, 4]), min_size=6, max_size=6)


def frets_on(neck: Instrument, lowest: int, above: list[int | None]) -> Fretting:
    strings = len(neck.midi)
    return tuple(None if n is None else max(0, lowest + n) for n in above[:strings])


@given(necks, st.integers(1, 11), offsets, hands)
def test_the_quick_answer_is_that_of_all_ways(
    neck: Instrument, lowest: int, above: list[int | None], hand: Limits
) -> None:
    frets = frets_on(neck, lowest, above)
    if not any(frets):
        return
    every = list(assignments(frets, wires_of(neck.scale_mm), hand))
    assert can_hold(frets, neck, hand) == bool(every)
    assert len(ways_to_finger(frets, neck, hand)) == len(every)
    best = fit(frets, neck, hand)
    assert (best is None) == (not every)
    if best is not None:
        position = position_of(frets)
        least = min(awkwardness(*way, position) for way in every)
        assert (best, least) in ways_to_finger(frets, neck, hand)
        assert ways_to_finger(frets, neck, hand)[0][1] == least


def test_open_strings_need_no_finger() -> None:
    assert can_hold((0, None, 0, 0), UKULELE, Limits(0, 0.0, "none"))
    found = ways_to_finger((0, None, 0, 0), UKULELE)
    assert [(way.fingers, awkward) for way, awkward in found] == [((0, None, 0, 0), 0)]


# Fingerings of one shape that teachers know (common practice, no source): E minor by 1-2 and 2-3,
# A by 1-2-3 and 2-3-4.
@pytest.mark.parametrize(
    ("frets", "fingers"),
    [
        ((0, 2, 2, 0, 0, 0), {(0, 1, 2, 0, 0, 0), (0, 2, 3, 0, 0, 0)}),
        ((None, 0, 2, 2, 2, 0), {(None, 0, 1, 2, 3, 0), (None, 0, 2, 3, 4, 0)}),
    ],
)
def test_a_shape_may_be_held_in_several_ways(frets: Fretting, fingers: set[Fretting]) -> None:
    assert fingers <= {way.fingers for way, _ in ways_to_finger(frets, GUITAR)}
