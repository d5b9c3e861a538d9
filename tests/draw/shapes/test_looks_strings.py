"""How strings are drawn, doubled or short, and a tuning as posts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.draw.shapes.looks import (
    draw_tuning,
    drawn_order,
    is_left_handed,
    span,
    strands,
    whole_strings,
)
from harmonykit.draw.tree import Path
from harmonykit.fretboard.strings.instrument import Instrument

MANDOLIN, BANJO = Instrument.named("mandolin"), Instrument.named("five-string banjo")


def test_a_double_string_is_two_lines_about_its_middle() -> None:
    for string in range(4):
        assert sum(strands(MANDOLIN, string)) == pytest.approx(0)
        assert len(strands(MANDOLIN, string)) == 2
    # Twelve strings: six courses of two; a lone string among them is one line.
    mixed = Instrument.parse("E2E3 A2A3 D3D4 G3G4 B3 E4")
    assert [len(strands(mixed, s)) for s in range(6)] == [2, 2, 2, 2, 1, 1]
    wide, plain = strands(mixed, 0, 2.0), strands(mixed, 0)
    assert wide[1] - wide[0] == pytest.approx(2 * (plain[1] - plain[0]))


def test_a_short_string_lies_on_the_wires_from_its_own_on() -> None:
    """The fifth string of a banjo starts at fret 5: common practice, no source."""
    assert [0 in whole_strings(BANJO, wire) for wire in range(8)] == [False] * 5 + [True] * 3
    assert whole_strings(MANDOLIN) == (0, 1, 2, 3)


def test_hand_and_order_turn_the_strings_each_for_itself() -> None:
    for hand in (False, True):
        for order in (False, True):
            turned = drawn_order(6, hand, order)
            assert turned == (tuple(range(6)) if hand == order else tuple(range(6))[::-1])


def test_the_instrument_says_which_hand_unless_it_is_asked_for() -> None:
    left = replace(MANDOLIN, left_handed=True)
    assert [is_left_handed(left, asked=asked) for asked in (None, True, False)] == [
        True,
        True,
        False,
    ]
    assert not is_left_handed(MANDOLIN, asked=None)
    assert span([2.0, -1.0]) == (-1.0, 2.0)


def tops(name: str) -> list[float]:
    """Return how high each post ends, in mm from the top of the figure."""
    paths = draw_tuning(Instrument.named(name)).sheet.all(Path)
    return [path.ends[1][1] for path in paths[:-1]]


def test_a_post_is_as_high_as_its_string_sounds() -> None:
    # G4 67, C4 60, E4 64, A4 69.
    g, c, e, a = tops("ukulele")
    assert a < g < e < c
    assert (
        (c - g) / 7 == pytest.approx((c - e) / 4, abs=1e-3) == pytest.approx((c - a) / 9, abs=1e-3)
    )


@pytest.mark.parametrize("name", ["ukulele", "ukulele low g", "baritone ukulele", "guitar"])
def test_every_tuning_keeps_within_its_height(name: str) -> None:
    found = tops(name)
    assert len(found) == len(Instrument.named(name).strings)
    assert min(found) > 3
    assert draw_tuning(Instrument.named(name)).height_mm == pytest.approx(14.7)


def test_the_lowest_string_is_said() -> None:
    assert draw_tuning(Instrument.named("guitar")).alt.endswith("the low E string is the lowest")


def test_a_left_handed_tuning_is_the_mirror_image() -> None:
    """The order of a mirrored box's strings: A, E, C and g from left to right (by hand)."""
    mirrored = draw_tuning(Instrument.named("ukulele"), left_handed=True)
    assert "A, E, C and G; the C string is the lowest" in mirrored.alt
    assert mirrored.sheet.texts == ("A", "E", "C", "g")
    strung = Instrument.named("ukulele").for_left_hand()
    assert draw_tuning(strung).svg == mirrored.svg
