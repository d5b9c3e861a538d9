"""Figures in words."""

from __future__ import annotations

from itertools import product

import pytest

from harmonykit.draw.base.given import (
    as_look,
    as_shapes,
    describe_change,
    describe_shape,
    describe_strings,
    spoken,
    spoken_symbol,
    string_names,
)
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.draw.shapes.plain import read_out
from harmonykit.draw.shapes.voices import draw_voices
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import THUMB, Barre, Fingering
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

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


def test_every_note_is_said_with_its_accidental_and_without_its_octave() -> None:
    words = {"bb": " double flat", "b": " flat", "": "", "#": " sharp", "##": " double sharp"}
    for letter, (sign, word) in product("ABCDEFG", words.items()):
        for octave in ("", "4"):
            assert spoken(Note.parse(f"{letter}{sign}{octave}")) == f"{letter}{word}"


def test_every_sign_of_a_symbol_has_its_word() -> None:
    said = {
        "C2": "C two", "C5": "C five", "C9": "C nine", "C11": "C eleven", "C+": "C augmented",
        "Calt": "C altered", "Cm": "C minor", "C°": "C diminished", "C(add9)": "C (add nine)",
        "C(no3)": "C (no three)", "C7(♭9,♯11)": "C seven (flat nine, sharp eleven)",
        "C𝄪7": "C double sharp seven", "Csus2": "C suspended two", "": "",
        "C(no1)": "C (no root)", "Cm(maj7)": "C minor (major seven)",
    }  # fmt: skip
    assert {printed: spoken_symbol(printed) for printed in said} == said


@pytest.mark.parametrize(
    ("tuning", "names"),
    [
        ("G4 C4 E4 A4", "g string, C string, E string, A string"),
        ("A3 D3 A4", "low A string, D string, high A string"),
        ("A4 D3 A3", "high A string, D string, low A string"),
        ("D3 D3 A4", "D string, number 1, D string, number 2, A string"),
        ("D3 D4 D5 A4", "D string, number 1, D string, number 2, D string, number 3, A string"),
        ("E2E3 A2 D3D4", "E strings, A string, D strings"),
    ],
)
def test_strings_alike_are_told_apart_by_their_height_or_their_number(
    tuning: str, names: str
) -> None:
    instrument = Instrument.parse(tuning)
    found = string_names(instrument)
    assert len(set(found)) == len(instrument.strings)
    assert ", ".join(found).lower() == names.lower()


def test_what_fingers_did_is_said_with_them_alone() -> None:
    """By hand: the second string's finger stays, the third's came from fret 5, the thumb lies."""
    guitar = Instrument.named("guitar")
    shape = Voicing.parse("132x00", guitar)
    fingering = Fingering((THUMB, 3, 2, None, None, None))
    moved = ((1,), ((2, 5),))
    said = describe_shape(shape, None, fingering=fingering, moved=moved).split("; ")
    assert said[0].endswith("the note F, thumb")
    assert said[1].endswith(", third finger, which stays")
    assert said[2].endswith(", second finger, which slides from the fifth fret")
    assert said[3].endswith("G string not played") and said[4].endswith("the note B")
    assert "stays" not in describe_shape(shape, None, moved=moved)


def test_strings_before_that_did_not_move_or_were_silent_are_left_out() -> None:
    shape = Voicing.parse("0003", UKULELE)
    for was, told in (
        ((0, 0, 0, 3), ""),
        ((None, 0, 0, 3), ""),
        ((2, 0, 0, 3), "; moved: the g string from the second fret"),
        ((2, 0, 0, 0), "; moved: the g string from the second fret and the A string from open"),
    ):
        said = describe_shape(shape, None, was=was)
        assert said == describe_shape(shape, None) + told


def test_what_is_no_list_of_shapes_or_no_look_is_refused() -> None:
    for wrong in ("0003", 7, None):
        with pytest.raises(HarmonyError, match="a list of shapes"):
            as_shapes(wrong)  # type: ignore[arg-type]
    with pytest.raises(HarmonyError, match="a BoxLook"):
        as_look("large", BoxLook)  # type: ignore[arg-type]
    assert [chord for _, chord in as_shapes(["0003", ("0003", None), ("0003", "C")])] == [
        None,
        None,
        Chord.parse("C"),
    ]


def test_a_name_that_is_no_symbol_is_said_as_it_stands() -> None:
    shape = Voicing.parse("0003", UKULELE)
    for name, said in (
        ("home", "home"), ("a room with a view", "a room with a view"),
        ("C♯°7", "C sharp diminished seven"),
        ("Am", "A minor"), ("m", "m"), ("", "0-0-0-3"),
    ):  # fmt: skip
        assert describe_shape(shape, None, name=name).startswith(f"{said}: g string")
        read = read_out(shape, None, name=name).splitlines()[0]
        assert read == f"{said if name else 'A shape'} on the ukulele, 0 0 0 3"
    pair = [(shape, None), (Voicing.parse("2010", UKULELE), None)]
    assert draw_voices(pair).alt.startswith("From 0-0-0-3 to 2-0-1-0: ")
    assert draw_voices(pair, names=["home", "F"]).alt.startswith("From home to F: ")
    assert describe_change(*pair, ["from", "to them"]).startswith("From from to to them: ")
