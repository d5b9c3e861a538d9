"""The sentence on a sheet that says for which strings it is."""

from __future__ import annotations

import pytest

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import names

HIGH = "the g sounds above the C beside it"
LINES = {
    "ukulele": f"For the ukulele with the strings g C E A; {HIGH}.",
    "ukulele low g": "For the ukulele low g with the strings G C E A from low to high.",
    "baritone": "For the baritone ukulele with the strings D G B E from low to high.",
    "soprano in D": "For the soprano ukulele in D with the strings a D F♯ B; "
    "the a sounds above the D beside it.",
    "mandolin": "For the mandolin with the strings G D A E from low to high, each doubled.",
    "banjo": "For the five-string banjo with the strings g D G B D; the g sounds above the D "
    "beside it; the g is short and starts at fret 5.",
}


@pytest.mark.parametrize("name", LINES)
def test_a_sheet_says_for_which_strings_it_is(name: str) -> None:
    assert Instrument.named(name).sheet_line == LINES[name]


def test_no_two_shipped_instruments_have_one_line() -> None:
    lines = [Instrument.named(name).sheet_line for name in names()]
    assert len(set(lines)) == len(lines)


def test_typed_strings_have_no_other_name() -> None:
    line = Instrument.parse("E2E3 A2A3 D3D4 G3G4 B3B3 E4E4").sheet_line
    assert line == (
        "For an instrument with the strings E A D G B E from low to high, each doubled "
        "(E, A, D and G in octaves)."
    )
    assert "C4 doubled" not in Instrument.parse("G4 C4C4 E4 A4").sheet_line
    assert "C doubled" in Instrument.parse("G4 C4C4 E4 A4").sheet_line


def test_capo_and_left_hand_are_said() -> None:
    line = Instrument.named("guitar").with_capo(3).for_left_hand().sheet_line
    assert "the strings G C F B♭ D G" in line
    assert "the capo is at fret 3, and frets are counted from it" in line
    assert line.endswith("for a left-handed player.")
