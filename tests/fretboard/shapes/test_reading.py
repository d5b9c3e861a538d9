"""From frets to names: published shapes, synonyms, and the steps of chord scales."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.nearest import scale_of_chords
from harmonykit.fretboard.shapes.reading import read_shape, scale_places
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.key import Key
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.theory.sets.pcset import PcSet

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
BARITONE = Instrument.named("baritone ukulele")
LOW_G = Instrument.named("low g ukulele")


# Shapes and names of every chord book (common practice, no source); 2-2-1-3 is F6 on g C E A and
# C6 on D G B E, 2-2-1-2 is Dm6, Bm7b5 and G9 without its root.
@pytest.mark.parametrize(
    ("digits", "instrument", "names"),
    [
        ("2213", UKULELE, ["Dm7", "F6"]),
        ("2213", BARITONE, ["Am7/E", "C6/E"]),
        ("0000", UKULELE, ["C6", "Am7"]),
        ("2212", UKULELE, ["Dm6", "Bm7♭5", "G9 without 1"]),
        ("x32010", GUITAR, ["C"]),
        ("022100", GUITAR, ["E"]),
        ("10-12-10-12", UKULELE, ["Dm7", "F6"]),
        ("2323", UKULELE, ["E♭°7", "F7♭9 without 1"]),
        ("xx0232", GUITAR, ["D"]),
        # No bass on strings that are re-entrant: 0-2-3-2 is G in every chord book.
        ("0232", UKULELE, ["G"]),
        ("2010", UKULELE, ["F"]),
        ("2220", UKULELE, ["D"]),
        ("0232", LOW_G, ["G"]),
        ("2010", LOW_G, ["F/A"]),
    ],
)
def test_shapes_have_their_names(digits: str, instrument: Instrument, names: list[str]) -> None:
    found = read_shape(digits, instrument)
    told = [str(name) for name in found.names]
    assert told[0] == names[0]
    assert set(names) <= set(told)


def test_a_reading_tells_its_names_and_a_line_a_place() -> None:
    found = read_shape("2213", UKULELE)
    head, *places = str(found).splitlines()
    assert head.startswith("2-2-1-3  Dm7 = F6") and len(places) == len(found.places) > 0
    assert all(line.startswith("  step ") for line in places)


@pytest.mark.parametrize("row", rows("voicings_uke"), ids=lambda row: row["frets_gCEA"])
def test_every_shape_of_the_table_is_named_and_spelled(row: dict[str, str]) -> None:
    found = read_shape(row["frets_gCEA"].replace(" ", "-"), UKULELE)
    complete = {name.chord.pcs for name in found.names if name.complete}
    assert PcSet.of(*map(int, row["pcs"].split(","))) in complete
    pitches = tuple(map(int, row["midi_reentrant"].split(",")))
    assert tuple(note and note.midi for note in found.notes) == pitches
    low = min(pitches) % 12
    for name in found.names:
        assert name.chord.bass in (name.chord.root, name.chord.foreign_bass)
        assert name.chord.foreign_bass is None or name.chord.bass.pitch_class == low


# The chord scale on C (Web, "Harmonizing the bebop major scale"): C6, D°, C6/E, F°,
# C6/G, Ab°, C6/A, B°, and its shapes on g C E A.
CLIMB = "0-0-0-0 1-2-1-2 2-4-3-3 4-5-4-5 5-7-5-7 7-8-7-8 9-9-8-10 10-11-10-11".split()


@pytest.mark.parametrize(("step", "digits"), list(enumerate(CLIMB, start=1)))
def test_a_shape_stands_at_its_step_of_the_chord_scale(step: int, digits: str) -> None:
    places = scale_places(Voicing.parse(digits, UKULELE))
    ours = [place for place in places if place.scale == SixthDiminished("C", "major")]
    assert [(place.step, place.diminished, place.whole) for place in ours] == [
        (step, step % 2 == 0, True)
    ]


@given(st.sampled_from(["major", "dominant"]), st.integers(0, 7))
def test_climbing_goes_through_the_steps_in_turn(kind: str, up: int) -> None:
    ladder = SixthDiminished("F", kind)
    shape = scale_of_chords(ladder, Voicing.parse("2010", UKULELE), up)[-1]  # A C F A
    (place,) = [place for place in scale_places(shape) if place.scale == ladder]
    assert place.diminished == (up % 2 == 1)
    assert ladder.notes[place.step - 1].pitch_class == shape.lowest % 12


def test_a_diminished_seventh_stands_in_four_scales_of_each_kind() -> None:
    # Its notes are the leading notes of four tonics a minor third apart; in no scale is it the
    # chord.
    places = scale_places(Voicing.parse("2323", UKULELE))
    tonics = {(p.scale.kind, p.scale.tonic.pitch_class) for p in places}
    assert tonics == {(kind, pc) for kind in KINDS for pc in (1, 4, 7, 10)}
    assert all(place.diminished and place.whole for place in places)


def test_a_triad_is_part_of_its_sixth() -> None:
    places = [str(place) for place in scale_places(Voicing.parse("x32010", GUITAR))]
    assert "step 1 of C major sixth-diminished: part of C6" in places
    assert all("part of" in place for place in places)


@pytest.mark.parametrize("digits", ["x3xx1x", "x3x000"])
def test_what_stands_at_no_step(digits: str) -> None:
    # C alone; Cmaj7, which is neither a sixth, a dominant nor a diminished seventh.
    assert scale_places(Voicing.parse(digits, GUITAR)) == ()


def test_a_key_names_the_notes() -> None:
    assert read_shape("4442", UKULELE, Key.parse("Cb major")).names[0].symbol == "Fb"
    assert read_shape("4442", UKULELE).names[0].symbol == "E"


def test_a_shape_may_be_given_instead_of_a_text() -> None:
    shape = Voicing.parse("x32010", GUITAR)
    assert read_shape(shape) == read_shape("x32010", GUITAR)
    assert read_shape("0000").voicing.instrument == UKULELE


def test_a_muted_string_has_no_note() -> None:
    assert read_shape("x32010", GUITAR).notes[0] is None
    assert str(read_shape("x32010", GUITAR).makeup) == "root position, 1, 3 doubled"


def test_what_cannot_be_read_is_refused() -> None:
    with pytest.raises(HarmonyError, match="frets for 3 strings"):
        read_shape("221", UKULELE)
    with pytest.raises(HarmonyError, match="beyond the neck"):
        read_shape("0-0-0-16", UKULELE)
