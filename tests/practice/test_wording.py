"""Answers as people type them."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.practice.wording import (
    read_chords,
    read_letter,
    read_move,
    read_notes,
    read_number,
    read_roots,
)


@pytest.mark.parametrize(
    ("text", "symbols"),
    [
        ("G7 Bb7 Db7 E7", "G7 Bb7 Db7 E7"),
        ("g7, b♭7; D♭7 and e7", "G7 Bb7 Db7 E7"),
        ("B°7", "Bdim7"),
        ("Bo7", "Bdim7"),
        ("Bdim7", "Bdim7"),
        ("B dim 7", "Bdim7"),
        ("B dim 7, D dim 7", "Bdim7 Ddim7"),
        ("G 7 E 7", "G7 E7"),
        ("F sharp 7 or G flat 7", "F#7 Gb7"),
        ("F♯7 = G♭7".replace("=", ","), "F#7 Gb7"),
    ],
)
def test_chords(text: str, symbols: str) -> None:
    assert " ".join(chord.symbol for chord in read_chords(text)) == symbols


@pytest.mark.parametrize("text", ["C Eb F#", "c e♭ f♯", "C, E flat and F sharp", "C-Eb-F#"])
def test_notes(text: str) -> None:
    assert [note.name for note in read_notes(text)] == ["C", "Eb", "F#"]


def test_roots_are_notes_or_chords_on_them() -> None:
    assert [note.name for note in read_roots("C Ebm7, A6")] == ["C", "Eb", "A"]


@pytest.mark.parametrize(
    "text", ["Ab G", "Ab to G", "A♭ → G", "Ab->G", "Ab > G", "ab falls to g", "A flat goes to G"]
)
def test_moves(text: str) -> None:
    assert [note.name for note in read_move(text)] == ["Ab", "G"]


@pytest.mark.parametrize(
    "text", ["4", " 4 ", "four", "Four semitones", "4 half steps", "4 semi-tones"]
)
def test_numbers(text: str) -> None:
    assert read_number(text) == 4


@pytest.mark.parametrize("text", ["b", "B", "(b)", "way B", "B."])
def test_letters(text: str) -> None:
    assert read_letter(text, "ABC") == "B"


@pytest.mark.parametrize(
    ("read", "text", "said"),
    [
        (read_chords, "G7 H7", "'H7' is not a chord symbol"),
        (read_chords, "", "the answer is empty"),
        (read_chords, " , ; ", "the answer is empty"),
        (read_chords, "7", "'7' is not a chord"),
        (read_chords, "C" * 301, "301 characters"),
        (read_chords, "C " * 40, "40 things"),
        (read_notes, "C X", "'X' is not a note"),
        (read_move, "Ab", "one note"),
        (read_move, "Ab G F", "3 notes"),
        (read_number, "-2", "not a number"),
        (read_number, "2.5", "not a number"),
        (read_number, "many", "not a number"),
    ],
)
def test_what_cannot_be_read_is_named(read: object, text: str, said: str) -> None:
    with pytest.raises(HarmonyError, match=said):
        read(text)  # type: ignore[operator]


def test_there_is_no_fourth_way() -> None:
    with pytest.raises(HarmonyError, match="they are A, B"):
        read_letter("C", "AB")
