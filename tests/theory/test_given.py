"""What stands for notes and chords where they are asked for."""

from __future__ import annotations

import pytest

import harmonykit as hk
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import as_chord, as_pcset
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
