"""MusicXML kinds and degrees against the standard's own definitions."""

from __future__ import annotations

import pytest
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.score.kinds import KindDegree, chord_of_kind
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
