"""Where a chord goes, and what the key has to do with it."""

import pytest

import harmonykit as hk
from harmonykit.about.ways import ways_on
from harmonykit.theory import diminished
from harmonykit.theory.chord import Chord


@pytest.mark.parametrize(
    ("symbol", "key", "goals"),
    [
        ("E7", "A minor", ["Am", "Eb"]),
        ("F#7alt", "B minor", ["Bm"]),
        ("A7", "C major", ["Dm", "Ab"]),
        ("B7", "A minor", ["E", "Bb"]),
        ("Bb7", "A minor", ["Am", "Eb"]),
        ("C#dim7", "D minor", ["Dm", "F", "Ab", "B"]),
        ("Gm6", "D minor", ["A7"]),
        ("Dm7", "C major", ["G7"]),
    ],
)
def test_in_a_key_a_chord_goes_to_what_the_key_has(symbol: str, key: str, goals: list[str]) -> None:
    """Common practice, no source: the tonic of a minor key is minor, its dominant's triad major."""
    told = hk.chord(symbol, key=key)
    assert [way.target.symbol for way in told.resolutions] == goals
    facts = told.facts("ukulele")
    assert [one["target"] for one in facts["dominants"]] == facts["resolves_to"]
    shown = [lead["chord"] for lead in facts["from_the_first"]]
    assert shown == facts["resolves_to"][: len(shown)]


@pytest.mark.parametrize("root", ["B", "C", "C#"])
def test_a_diminished_seventh_moves_as_its_own_table_says(root: str) -> None:
    chord = Chord.of(root, "dim7")
    assert [w.moves for w in ways_on(chord)] == [w.moves for w in diminished.resolutions(chord)]
