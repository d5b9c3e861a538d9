"""What stands for notes and chords where they are asked for."""

from __future__ import annotations

import pytest

import harmonykit as hk
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import as_chord, as_chords, as_pcset
from harmonykit.theory.sets.pcset import PcSet


def test_typed_digits_count_round_the_clock() -> None:
    assert as_pcset("0 4 19") == as_pcset("12 16 7") == PcSet.of(0, 4, 7)
    with pytest.raises(HarmonyError, match="'x' is not a pitch class"):
        as_pcset("0 4 x")


def test_a_chord_is_found_in_what_holds_it() -> None:
    chord = Chord.parse("C6")
    assert as_chord(chord) is as_chord(hk.chord(chord)) is chord
    for other in (PcSet.of(0, 4, 7), 5, None):
        with pytest.raises(HarmonyError, match="a chord"):
            as_chord(other)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "typed",
    [
        "| Dm7 | G7(b9,#11) |", "|: Dm7 | % | G7(b9, #11) :|", "Dm7,G7(b9,#11)", "Dm7; G7(b9,#11)",
        "Dm7|G7(b9,#11)||", "Dm7 -> G7(b9,#11)", "Dm7→G7(b9,#11)", "Dm7 – G7(b9,#11) |]",
    ],
)  # fmt: skip
def test_chords_in_a_row_are_read_as_people_part_them(typed: str) -> None:
    """A comma in brackets belongs to its chord; a bar that repeats the one before adds none."""
    assert [str(chord) for chord in as_chords(typed)] == ["Dm7", "G7(b9,#11)"]


def test_an_error_in_a_row_of_bars_says_where_it_stands() -> None:
    with pytest.raises(HarmonyError, match="column 10") as caught:
        as_chords("| Dm7 |: Hx |")
    assert "'Hx'" in str(caught.value)
