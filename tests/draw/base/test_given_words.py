"""Figures in words."""

from __future__ import annotations

import pytest

from harmonykit.draw.base.given import (
    describe_change,
    describe_shape,
    describe_strings,
    spoken_symbol,
    string_names,
)
from harmonykit.fretboard.hands.hand import Barre, Fingering
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
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
    shape = Voicing.parse("0003", UKULELE)
    said = describe_shape(shape, None, fingering=shape.fingering, left_handed=True)
    assert said.startswith("0-0-0-3: g string, open, the note G; C string, open, the note C; ")
    finger = Voicing.parse("0003", UKULELE).fingers[3]
    word = {1: "first", 2: "second", 3: "third", 4: "fourth"}[finger]
    assert said.endswith(f"the note C, {word} finger (drawn for the left hand)")


def test_strings_with_signs_doubled_and_short_ones_have_names() -> None:
    assert string_names(Instrument.named("mandolin"))[0] == "G strings"
    assert string_names(Instrument.parse("A4 D4 F#4 B4"))[2] == "F sharp string"
    banjo = string_names(Instrument.named("five-string banjo"))
    assert banjo[0] == "high G string" and len(set(banjo)) == 5


def test_a_capo_is_said_and_a_barre_with_the_finger_that_lies() -> None:
    capo = UKULELE.with_capo(2)
    assert describe_shape(Voicing.parse("0003", capo), None).endswith(
        "; frets are counted from a capo at the second fret"
    )
    shape = Voicing.parse("133211", Instrument.named("guitar"))
    fingering = Fingering((1, 3, 4, 2, 1, 1), (Barre(1, 1, 0, 5),))
    said = describe_strings(shape, Chord.parse("F"), fingering)
    assert [part.endswith("first finger across 6 strings") for part in said] == [
        *(True, False, False, False, True, True)
    ]
    assert said[2].endswith("the root, fourth finger")


def test_a_change_is_said_string_by_string() -> None:
    guitar = Instrument.named("guitar")
    before = (Voicing.parse("x32010", guitar), Chord.parse("C"))
    after = (Voicing.parse("102210", guitar), Chord.parse("Am/F"))
    assert describe_change(before, after, ["C", "Am/F"]) == (
        "From C to A minor over F: low E string comes in: first fret, F, the bass; "
        "A string goes down 3 semitones from C to open, A, the root; "
        "D string stays: second fret, E, the fifth; "
        "G string goes up 2 semitones from G to the second fret, A, the root; "
        "B string stays: first fret, C, the minor third; "
        "high E string stays: open, E, the fifth"
    )
    silent = describe_change(after, before, ["Am/F", "C"])
    assert "low E string falls silent" in silent


def test_a_short_string_moves_by_semitones_not_by_frets() -> None:
    """From the open string at fret 5 to fret 7 are two semitones: common practice, no source."""
    banjo = Instrument.named("five-string banjo")
    shapes = [(Voicing.parse(d, banjo), None) for d in ("0-0-0-0-0", "7-0-0-0-0")]
    said = describe_change(shapes[0], shapes[1], ["a", "b"])
    assert "high G string goes up 2 semitones from G to the seventh fret, A" in said
