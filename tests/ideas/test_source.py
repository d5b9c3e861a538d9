"""What ideas are sought about, in every form that a person types."""

from __future__ import annotations

import pytest

import harmonykit as hk
from harmonykit.errors import HarmonyError
from harmonykit.ideas.source import as_source
from harmonykit.theory.sets.pcset import PcSet

UKULELE = hk.Instrument.named("ukulele")


@pytest.mark.parametrize(
    ("given", "name", "notes"),
    [
        ("C+", "C+", (0, 4, 8)),
        ("Bdim7", "B°7", (2, 5, 8, 11)),
        ("whole tone", "C whole tone", (0, 2, 4, 6, 8, 10)),
        ("whole-tone scale", "C whole tone", (0, 2, 4, 6, 8, 10)),
        # Step patterns: Wikipedia, "List of musical scales and modes".
        ("dorian", "C dorian", (0, 2, 3, 5, 7, 9, 10)),
        ("Dorian scale", "C dorian", (0, 2, 3, 5, 7, 9, 10)),
        ("Harmonic minor", "C harmonic minor", (0, 2, 3, 5, 7, 8, 11)),
        ("lydian-dominant", "C lydian dominant", (0, 2, 4, 6, 7, 9, 10)),
        ("half-whole", "C octatonic half-whole", (0, 1, 3, 4, 6, 7, 9, 10)),
        ("D dorian", "D dorian", (0, 2, 4, 5, 7, 9, 11)),
        ("0 3 6 9", "C°7", (0, 3, 6, 9)),
        ("{0,1,4,6}", "C D♭ E F♯", (0, 1, 4, 6)),
        ("2-2-1-2", "2-2-1-2 (Dm6)", (2, 5, 9, 11)),
        ("0003", "0-0-0-3 (C)", (0, 4, 7)),
    ],
)
def test_what_people_type(given: str, name: str, notes: tuple[int, ...]) -> None:
    found = as_source(given, UKULELE)
    assert found.pcs == PcSet.of(*notes)
    assert name in found.name


@pytest.mark.parametrize("suffix", ["dim7", "+", "7b5", "m7b5", "sus4", "6"])
def test_a_kind_lies_low_on_the_neck(suffix: str) -> None:
    chord = as_source(suffix, UKULELE).chord
    assert chord is not None
    assert chord.quality in (suffix, "m6")
    assert hk.find_voicings(chord, UKULELE)[0].lowest_fret <= 2


def test_values_are_taken_as_they_are() -> None:
    shape = hk.Voicing.parse("2323", "ukulele")
    assert as_source(shape, None).voicing == shape
    assert as_source(hk.Chord.parse("C6"), None).chord == hk.Chord.parse("C6")
    assert as_source(hk.Scale("C", "altered"), None).scale == hk.Scale("C", "altered")
    assert as_source(PcSet.of(0, 4, 7), None).name == "C"


@pytest.mark.parametrize("wrong", ["0", "2-2", "Xm7", "C5 C", ""])
def test_what_cannot_be_read(wrong: str) -> None:
    with pytest.raises(HarmonyError):
        as_source(wrong, UKULELE)
    with pytest.raises(HarmonyError, match="a shape needs an instrument"):
        as_source("2-3-2-3", None)


@pytest.mark.parametrize("typed", ["banana", "", "99-3-2-1", "x x x"])
def test_what_is_nothing_at_all_is_told_all_that_could_be_typed(typed: str) -> None:
    with pytest.raises(HarmonyError, match="a chord, a kind of chord, a scale, notes or a shape"):
        as_source(typed, UKULELE)
