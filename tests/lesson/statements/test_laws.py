"""Laws of diminished sevenths: true as they stand, and told false where what they try is broken."""

from __future__ import annotations

import pytest

from harmonykit.lesson.statements import laws
from harmonykit.lesson.statements.laws import COUNTS, LAWS
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet


@pytest.mark.parametrize("name", LAWS)
def test_a_law_is_a_sentence_and_has_no_counter_example(name: str) -> None:
    sentence, counter = LAWS[name]()
    assert sentence.endswith(".") and "diminished seventh" in sentence and counter == ""


def test_counts_are_those_of_the_books() -> None:
    """Three diminished sevenths, four tonics of each (common practice, no source); five kinds.

    The kinds are the diminished seventh, dominant, half-diminished, minor seventh, and the
    dominant with a flat five: see the table of the sixteen.
    """
    assert {name: count()[0] for name, count in COUNTS.items()} == {
        "diminished sevenths": 3, "places": 4, "alternating kinds": 5,
    }  # fmt: skip
    assert all("diminished" in count()[1] for count in COUNTS.values())


def moved(root: int) -> PcSet:
    """Return a major seventh chord where a diminished seventh is asked for."""
    return PcSet.of(*((root + n) % 12 for n in (0, 4, 7, 11)))


@pytest.mark.parametrize("name", ["lowering", "raising", "symmetry"])
def test_of_another_chord_a_law_gives_its_counter_example(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(laws, "_diminished", moved)
    sentence, counter = LAWS[name]()
    assert sentence == "" and "0 4 7 11" in counter


def test_dominants_that_are_no_tritone_apart_are_the_counter_example(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def wrong(chord: Chord) -> tuple[Chord, ...]:
        # C7, D7: two semitones apart; their thirds and sevenths differ, so the law still holds.
        return tuple(Chord.parse(name) for name in ("C7", "D7"))

    monkeypatch.setattr(laws, "parents", wrong)
    assert LAWS["tritone pairs"]()[1] == ""
    monkeypatch.setattr(laws, "_third_and_seventh", lambda chord: PcSet.of(0))
    sentence, counter = LAWS["tritone pairs"]()
    assert sentence == "" and counter == "C7 and D7 are 10 half steps apart"


def test_chords_that_no_scale_makes_are_the_counter_example(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(laws, "KINDS", ("major",))
    sentence, counter = LAWS["sixth-diminished"]()
    assert sentence == "" and counter == "the chords that alternate with 0 3 6 9"
