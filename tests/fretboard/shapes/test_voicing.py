"""Voicings as values: what a shape sounds, by tables, and how its notes are called."""

from __future__ import annotations

from itertools import product

import pytest
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
LOW_G, BARITONE = Instrument.named("ukulele low g"), Instrument.named("baritone ukulele")


def uke(digits: str) -> Voicing:
    return Voicing.parse(digits, UKULELE)


TABLE = rows("voicings_uke")


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row['chord']} {row['frets_gCEA']}")
def test_a_shape_sounds_what_the_table_says(row: dict[str, str]) -> None:
    text = row["frets_gCEA"].replace(" ", "-")
    for instrument, tuning in ((UKULELE, "reentrant"), (LOW_G, "lowG")):
        shape = Voicing.parse(text, instrument)
        midi = tuple(map(int, row[f"midi_{tuning}"].split(",")))
        assert shape.midi == shape.sounding == midi
        assert (shape.lowest, shape.top) == (min(midi), max(midi))
        spelled = {
            note.midi: note.name for note in shape.spelled(Chord.parse(row["chord"])) if note
        }
        assert spelled[shape.lowest] == row[f"bass_{tuning}"]
    assert shape.highest_fret == int(row["max_fret"])
    assert shape.highest_fret - shape.lowest_fret == int(row["span"])
    assert shape.frets.count(0) == int(row["n_open"])


def test_a_name_keeps_its_own_octave() -> None:
    # B# lies in the octave below the C that it sounds, Cb in the octave above the B.
    sharp = uke("1043").spelled(Chord.parse("G#"))
    assert [str(note) for note in sharp] == ["G#4", "B#3", "G#4", "B#4"]
    flat = uke("4342").spelled(Chord.parse("Abm"))
    assert [str(note) for note in flat] == ["Cb5", "Eb4", "Ab4", "Cb5"]


def test_plain_notes_have_their_most_usual_names() -> None:
    shape = Voicing.parse("x-1-1-1-3-2", GUITAR)
    assert [note and str(note) for note in shape.notes] == [None, "Bb2", "Eb3", "Ab3", "D4", "F#4"]


@pytest.mark.parametrize(
    ("frets", "what"),
    [
        ((0, 0, 0), "3 frets for 4 strings"),
        ((0, 0, 0, 16), "fret 16 is not on the neck"),
        ((0, 0, 0, -1), "fret -1 is not on the neck"),
        ((None,) * 4, "every string is muted"),
    ],
)
def test_a_shape_that_cannot_be_is_refused(frets: tuple[int | None, ...], what: str) -> None:
    with pytest.raises(HarmonyError, match=what):
        Voicing(UKULELE, frets)


def test_equal_shapes_have_one_hash() -> None:
    for frets in product((0, 1, None), repeat=3):
        one, two = Voicing(UKULELE, (*frets, 2)), Voicing(Instrument.named("uke"), (*frets, 2))
        assert one == two
        assert hash(one) == hash(two)
    assert uke("0000") != Voicing.parse("0000", BARITONE)
