"""Figures in words."""

from __future__ import annotations

import pytest

from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.voicing import Voicing
from harmonykit.show.words import describe_shape, spoken_symbol, string_names
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")


@pytest.mark.parametrize(
    ("printed", "said"),
    [
        ("C", "C"),
        ("F♯7", "F sharp seven"),
        ("E♭°7", "E flat diminished seven"),
        ("Cmaj7", "C major seven"),
        ("C6/9", "C six nine"),
        ("D7/F♯", "D seven over F sharp"),
        ("A7sus4", "A seven suspended four"),
        ("G7♭9", "G seven flat nine"),
        ("B𝄫m", "B double flat minor"),
        ("C13", "C thirteen"),
    ],
)
def test_a_symbol_is_said_as_players_say_it(printed: str, said: str) -> None:
    assert spoken_symbol(printed) == said


def test_strings_have_names_of_their_own() -> None:
    assert string_names(UKULELE) == ("g string", "C string", "E string", "A string")
    guitar = string_names(Instrument.named("guitar"))
    assert guitar[0] == "low E string" and guitar[5] == "high E string"
    assert len(set(string_names(Instrument.parse("D3 D3 D4 A4")))) == 4


def test_a_shape_states_its_facts() -> None:
    shape = Voicing.parse("222x", UKULELE)
    said = describe_shape(shape, Chord.parse("D"), was=(2, 3, 0, 1))
    assert said == (
        "D: g string, second fret, the note A, the fifth; C string, second fret, the note D, "
        "the root; E string, second fret, the note F sharp, the major third; A string not played"
        "; moved: the C string from the third fret, the E string from open and the A string from "
        "the first fret"
    )


def test_fingers_and_the_left_hand_are_said() -> None:
    said = describe_shape(Voicing.parse("0003", UKULELE), None, fingers=True, left_handed=True)
    assert said.startswith("0-0-0-3: g string, open, the note G; C string, open, the note C; ")
    finger = Voicing.parse("0003", UKULELE).fingers[3]
    word = {1: "first", 2: "second", 3: "third", 4: "fourth"}[finger]
    assert said.endswith(f"the note C, {word} finger (drawn for the left hand)")
