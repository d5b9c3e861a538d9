"""What voices do together, by hand."""

from __future__ import annotations

import pytest
from rows_of_shapes import row

from harmonykit.arrange.line_figures import (
    against_wording,
    drops_at_bar_lines,
    guide_tones,
    outer_voices,
)
from harmonykit.arrange.top_line import stops_of


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("x32010", "x54232", (1, 0, 0)),  # C3 E4 to D3 F sharp 4
        ("x32010", "x32013", (0, 1, 0)),  # C3 stays, E4 to G4
        ("x32010", "320003", (0, 0, 1)),  # C3 falls to G2, E4 rises to G4
        ("x32010", "x32010", (0, 0, 0)),
        ("x32010", "x35010", (0, 0, 0)),  # an inner voice moves alone
    ],
)
def test_outer_voices(first, second, expected):
    way = row("| C | G |", f"C {first} 4", f"G {second} 4", instrument="guitar")
    assert outer_voices(stops_of(way)) == expected


def test_two_five_one_in_shells_goes_seven_to_three():
    """Dm7 x-5-3-5-x-x: D F C; G7 3-x-3-4-x-x: G F B; Cmaj7 x-3-2-4-x-x: C E B."""
    way = row(
        "| Dm7 | G7 | Cmaj7 |",
        "Dm7 x5x56x 4",  # C4 on the g string
        "G7 3x34xx 4",  # B3 on the g string: a semitone down
        "Cmaj7 x324xx 4",  # F on the d string falls to E
        instrument="guitar",
    )
    assert guide_tones(way) == (2, 2)


def test_a_seventh_that_leaps_is_not_a_guide_tone():
    # G7 on the ukulele 0-2-1-2 has F4 on the e string; C at the seventh fret has E5 as third.
    near = row("| G7 | C |", "G7 0212 4", "C 0003 4")
    far = row("| G7 | C |", "G7 0212 4", "C 12-12-12-15 4")
    assert guide_tones(near) == (1, 1)
    assert guide_tones(far) == (1, 0)
    # A triad has no seventh, a fourth is not a fifth.
    assert guide_tones(row("| G | C |", "G 0232 4", "C 0003 4")) == (0, 0)
    assert guide_tones(row("| F7 | C |", "F7 2313 4", "C 0003 4")) == (0, 0)


def test_voices_that_go_against_the_name_of_their_walk():
    up = "ascending walk"
    rising = row("| C6 |", f"C6 0000 1 {up}", f"Bdim7 1212 1 {up}", f"C6 3435 2 {up}")
    falling = row("| C6 |", f"C6 3435 1 {up}", f"Bdim7 1212 1 {up}", f"C6 0000 2 {up}")
    assert against_wording(rising) == 0
    assert against_wording(falling) == 8
    down = row("| C6 |", *(f"C6 {x} 2 descending walk" for x in ("3435", "1212")))
    assert against_wording(down) == 0


def test_all_strings_drop_at_a_bar_line():
    assert drops_at_bar_lines(stops_of(row("| C | C |", "C 5555 4", "C 1111 4"))) == 1
    assert drops_at_bar_lines(stops_of(row("| C | C |", "C 4444 4", "C 1111 4"))) == 0
    assert drops_at_bar_lines(stops_of(row("| C | C |", "C 5555 4", "C 1112 4"))) == 0
    assert drops_at_bar_lines(stops_of(row("| C |", "C 5555 2", "C 1111 2"))) == 0
