"""Degrees: numbers of the major scale, altered."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.theory.degree import NUMBERS, Degree, degrees
from harmonykit.theory.note import Note


@pytest.mark.parametrize(
    ("text", "semitones", "over_c"),
    # Common practice: the intervals of the major scale and the thirds stacked above it.
    [
        ("1", 0, "C"),
        ("b3", 3, "Eb"),
        ("#5", 8, "G#"),
        ("bb7", 9, "Bbb"),
        ("7", 11, "B"),
        ("b9", 13, "Db"),
        ("#9", 15, "D#"),
        ("11", 17, "F"),
        ("13", 21, "A"),
    ],
)
def test_semitones_and_names(text: str, semitones: int, over_c: str) -> None:
    degree = Degree.parse(text)
    assert degree.semitones == semitones
    assert degree.pitch_class == semitones % 12
    assert degree.over(Note("C")).name == over_c
    assert str(degree) == text


def test_print() -> None:
    assert [Degree.parse(text).unicode for text in ("b7", "bb7", "#11")] == ["♭7", "𝄫7", "♯11"]


def test_they_are_put_in_order() -> None:
    assert [str(d) for d in degrees("13 b7 #9 1 b9 3")] == ["1", "3", "b7", "b9", "#9", "13"]


@pytest.mark.parametrize("text", ["", "8", "10", "12", "14", "x7", "7b", "b", "²", "-3"])
def test_what_is_no_degree_is_said(text: str) -> None:
    with pytest.raises(HarmonyError, match="is not a degree"):
        Degree.parse(text)


@pytest.mark.parametrize("number", [n for n in range(-1, 15) if n not in NUMBERS])
def test_a_chord_is_built_in_thirds(number: int) -> None:
    with pytest.raises(HarmonyError, match="is not a degree of a chord"):
        Degree(number)
