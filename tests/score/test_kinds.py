"""MusicXML kinds and degrees against the standard's own definitions."""

from __future__ import annotations

import music21
import pytest
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.score.files import read_tune
from harmonykit.score.kinds import KindDegree, chord_of_kind, doubts_of_kind, harmony_kind
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.tune.bar import TuneError

C = Note.parse("C")
KINDS = rows("musicxml_kinds")  # MusicXML 4.0, kind-value


def test_the_standard_has_33_kinds():
    assert len(KINDS) == 33


@pytest.mark.parametrize("row", [r for r in KINDS if r["pcs"] != "-"], ids=lambda r: r["kind"])
def test_a_kind_is_what_the_standard_says(row):
    assert chord_of_kind(C, row["kind"]).semitones == numbers(row["pcs"])


@pytest.mark.parametrize("row", [r for r in KINDS if r["pcs"] == "-"], ids=lambda r: r["kind"])
def test_a_kind_that_the_standard_does_not_define_is_refused(row):
    with pytest.raises(HarmonyError):
        chord_of_kind(C, row["kind"])


@pytest.mark.parametrize(
    ("kind", "degrees", "semitones"),
    [
        # MusicXML 4.0, degree-alter: alter is relative to the kind's own degree.
        ("dominant", [("alter", 5, -1)], (0, 4, 6, 10)),
        ("half-diminished", [("alter", 5, 1)], (0, 3, 7, 10)),
        # ... and add is relative to a dominant chord: 7 is minor, 9, 11 and 13 natural.
        ("major", [("add", 7, 0)], (0, 4, 7, 10)),
        ("major", [("add", 7, 1)], (0, 4, 7, 11)),
        ("minor", [("add", 7, -1)], (0, 3, 7, 9)),
        ("major", [("add", 9, 0)], (0, 2, 4, 7)),
        ("major-sixth", [("add", 9, 0)], (0, 2, 4, 7, 9)),
        ("dominant", [("add", 9, -1), ("add", 11, 1)], (0, 1, 4, 6, 7, 10)),
        ("dominant", [("add", 9, 1), ("add", 9, -1)], (0, 1, 3, 4, 7, 10)),
        ("suspended-fourth", [("add", 7, 0)], (0, 5, 7, 10)),
        ("suspended-fourth", [("add", 7, 0), ("add", 9, 0)], (0, 2, 5, 7, 10)),
        ("major", [("subtract", 3, 0)], (0, 7)),
        ("dominant-13th", [("subtract", 11, 0)], (0, 2, 4, 7, 9, 10)),
        ("other", [("add", 3, 0), ("add", 7, 0)], (0, 4, 10)),
        # Not in the standard: "alter" of a degree that the kind lacks is read as added.
        ("dominant", [("alter", 9, -1)], (0, 1, 4, 7, 10)),
    ],
)
def test_degrees_change_a_kind(kind, degrees, semitones):
    found = chord_of_kind(C, kind, tuple(KindDegree(*degree) for degree in degrees))
    assert found.semitones == semitones


def test_bass_and_inversion():
    assert str(chord_of_kind(Note.parse("D"), "minor", bass=Note.parse("F"))) == "Dm/F"
    # Second inversion: the fifth is the bass (elementary theory).
    assert str(chord_of_kind(Note.parse("F#"), "major", inversion=2)) == "F#/C#"
    assert str(chord_of_kind(C, "dominant", inversion=3)) == "C7/Bb"
    assert str(chord_of_kind(C, "dominant", bass=Note.parse("E"), inversion=3)) == "C7/E"


def test_a_chord_of_another_kind_is_read_from_its_text():
    assert chord_of_kind(C, "other", text="7b5") == Chord.parse("C7b5")
    assert chord_of_kind(C, "other", text="7b5", bass=Note.parse("E")) == Chord.parse("C7b5/E")


@pytest.mark.parametrize(
    ("kind", "degrees", "inversion"),
    [
        ("major", [("subtract", 7, 0)], 0),
        ("major", [("add", 14, 0)], 0),
        ("major", [("borrow", 5, 0)], 0),
        ("major", [], 4),
        ("nonsense", [], 0),
    ],
)
def test_what_contradicts_itself_is_refused(kind, degrees, inversion):
    with pytest.raises(HarmonyError):
        chord_of_kind(C, kind, tuple(KindDegree(*d) for d in degrees), None, inversion)


@pytest.mark.parametrize("alter", [5, -5, 10**9])
def test_a_wild_alteration_is_refused_at_once(alter):
    with pytest.raises(TuneError, match="a degree altered by"):
        chord_of_kind(Note.parse("C"), "dominant", (KindDegree("add", 9, alter),))


# The chords of the standard's own kinds, each with a degree as music21 writes it (read back by
# itself and by us): an added degree of a number that the kind has stands in its place.
@pytest.mark.parametrize(
    "figure",
    ["m7b5", "7b5", "7#5", "7b9#5", "7#9#5", "7b5b9", "maj7#5", "maj7b5", "m7#5", "m9b5", "addb5",
     "7b9", "7#9", "7#11", "7b13", "m7b9", "add9", "madd9", "7sus4", "mM9", "+M7", "5",
     "ø9", "o9", "+9"],
)  # fmt: skip
def test_a_chord_that_music21_writes_with_degrees_is_read_as_it_is_meant(figure, tmp_path):
    meant = music21.harmony.ChordSymbol(f"C{figure}")
    measure = music21.stream.Measure(number=1)
    measure.append(music21.meter.TimeSignature("4/4"))
    measure.insert(0, meant)
    measure.insert(0, music21.note.Note("C6", quarterLength=4))
    path = tmp_path / "one.musicxml"
    part = music21.stream.Part([measure])
    music21.stream.Score([part]).write("musicxml", fp=str(path))
    found = read_tune(str(path)).changes[0].chord
    assert found is not None
    assert set(found.semitones) == {pitch.pitchClass for pitch in meant.pitches}


def test_an_added_degree_in_place_of_another_is_told():
    flat_five = KindDegree("add", 5, -1)
    said = ["♭5 is added to a minor-seventh: it is read in place of 5"]
    assert list(doubts_of_kind("minor-seventh", (flat_five,))) == said
    # Once altered, the kind's own is not there any more; a number that it lacks is just added.
    assert not [*doubts_of_kind("dominant", (KindDegree("alter", 5, 1), flat_five))]
    assert not [*doubts_of_kind("dominant", (KindDegree("add", 9, -1),))]


@pytest.mark.parametrize("symbol", ["C9(add11,#11)", "Cm7b5(add5)", "C7alt", "C13(#11,add11)"])
def test_a_chord_with_a_step_twice_is_read_back_as_written(symbol):
    chord = Chord.parse(symbol)
    assert chord_of_kind(chord.root, *harmony_kind(chord.degrees)) == chord


def test_an_unknown_kind_is_read_from_what_is_printed():
    assert chord_of_kind(C, "seventh of a kind", text="7sus4") == Chord.parse("C7sus4")
    assert len([*doubts_of_kind("seventh of a kind", ())]) == 1
