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
from harmonykit.draw.tree import Path, Text
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
    # Of a double course both strings are.
    assert draw_tuning(MANDOLIN).alt.endswith("the G strings are the lowest")
    mixed = Instrument.parse("E2E3 A2 D3D4")
    assert draw_tuning(mixed).alt.endswith("the E strings are the lowest")
    assert draw_tuning(Instrument.parse("E2 A2A3 D3")).alt.endswith("the E string is the lowest")


def test_a_left_handed_tuning_is_the_mirror_image() -> None:
    """The order of a mirrored box's strings: A, E, C and g from left to right (by hand)."""
    mirrored = draw_tuning(Instrument.named("ukulele"), left_handed=True)
    assert "A, E, C and G; the C string is the lowest" in mirrored.alt
    assert mirrored.sheet.texts == ("A", "E", "C", "g")
    strung = Instrument.named("ukulele").for_left_hand()
    assert draw_tuning(strung).svg == mirrored.svg


@pytest.mark.parametrize(
    "name", ["ukulele", "baritone ukulele", "guitar", "mandolin", "five-string banjo"]
)
def test_posts_are_in_proportion_and_the_highest_as_high_as_there_is_room(name: str) -> None:
    """By hand: the lowest 1.2 mm, .93 more for a semitone, and 9.5 mm at the most."""
    instrument = Instrument.named(name)
    drawing = draw_tuning(instrument)
    *posts, ground = drawing.sheet.all(Path)
    base = ground.box.top
    highs = [base - post.box.top for post in posts]
    lowest, highest = min(instrument.midi), max(instrument.midi)
    step = 0.93 if (highest - lowest) * 0.93 <= 8.3 else 8.3 / (highest - lowest)
    assert highs == pytest.approx([1.2 + (midi - lowest) * step for midi in instrument.midi])
    assert max(highs) == pytest.approx(min(9.5, 1.2 + 0.93 * (highest - lowest)))
    # Posts stand 8 mm apart on a ground as wide as the figure; each bears its name close above.
    xs = [post.box.left for post in posts]
    assert xs == [4.0 + 8 * n for n in range(len(posts))]
    assert (ground.box.left, ground.box.right) == (0, xs[-1] + 4) == (0, drawing.width_mm)
    assert ground.box.top + ground.width == pytest.approx(drawing.height_mm)
    assert ground.width > 2 * posts[0].width
    for post, text in zip(posts, drawing.sheet.all(Text), strict=True):
        assert text.x == post.box.left and post.box.bottom == base
        assert post.box.top - text.baseline == pytest.approx(1.3)
        assert (text.size, text.weight, text.anchor) == (10.0, 600, "center")


def test_strings_of_one_pitch_are_posts_of_one_height() -> None:
    unison = Instrument.parse("G4 G4 G4")
    highs = {path.box.height for path in draw_tuning(unison).sheet.all(Path)[:-1]}
    assert len(highs) == 1 and highs.pop() == pytest.approx(1.2)
