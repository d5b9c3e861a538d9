"""Chord diagrams in the terminal, and shapes said for a screen reader."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.about.text import WIDTH
from harmonykit.cli.chord import DIAGRAMS, MOST_DRAWN, READ_OUT, Asked, told
from harmonykit.errors import HarmonyError

# The D7 shape 2223 and the open C of the guitar, drawn by hand (common practice, no source).
BARRE = """\
       2-2-2-3
    ╒═══╤═══╤═══╕
    │   │   │   │
    ├───┼───┼───┤
    1━━━1━━━1   │
    ├───┼───┼───┤
    │   │   │   2
    ├───┼───┼───┤
    │   │   │   │
    └───┴───┴───┘
    A   D   F♯  C"""
OPEN_C = [
    "C on the guitar, x 3 2 0 1 0",
    "low E string not played",
    "A string, third fret, the note C, the root, third finger",
    "D string, second fret, the note E, the major third, second finger",
    "G string, open, the note G, the fifth",
    "B string, first fret, the note C, the root, first finger",
    "high E string, open, the note E, the major third",
]


def test_a_shape_is_drawn_with_its_fingers_and_its_notes() -> None:
    drawn = told(Asked(None, "2223", "ukulele", form=DIAGRAMS))
    assert drawn == f"D7\n{BARRE}"


def test_a_shape_is_said_string_by_string() -> None:
    assert told(Asked(None, "x32010", "guitar", form=READ_OUT)).splitlines() == OPEN_C


@pytest.mark.parametrize("instrument", ["ukulele", "guitar", "five-string banjo", "mandolin"])
@pytest.mark.parametrize("symbol", ["C", "Dm7", "F#dim7", "G7b9"])
def test_the_most_usual_shapes_fit_a_terminal(symbol: str, instrument: str) -> None:
    asked = Asked(symbol, None, instrument)
    shapes, _ = asked.shapes()
    lines = told(replace(asked, form=DIAGRAMS)).splitlines()
    assert max(map(len, lines)) <= WIDTH
    for shape in shapes[:MOST_DRAWN]:
        assert any(shape.digits in line for line in lines)
    said = told(replace(asked, form=READ_OUT))
    assert said.count(f" on the {instrument}, ") == min(MOST_DRAWN, len(shapes))
    assert (f"{MOST_DRAWN} of {len(shapes)}" in said) == (len(shapes) > MOST_DRAWN)


def test_a_hand_that_holds_no_shape_is_told() -> None:
    # Four strings, an octave apart, have no shape of a thirteenth.
    for form in (DIAGRAMS, READ_OUT):
        assert "No playable shape of C13" in told(Asked("C13", None, "C2 C3 C4 C5", form=form))


def test_a_shape_in_place_of_a_symbol_is_told_its_option() -> None:
    with pytest.raises(HarmonyError) as refused:
        told(Asked("2223", None, "ukulele", form=DIAGRAMS))
    assert "--frets 2223" in str(refused.value)
