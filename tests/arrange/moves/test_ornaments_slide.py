"""The slide, rule by rule (common practice, no source)."""

from __future__ import annotations

import pytest
from small_tunes import EAGER, insertions, rules, tune_of

from harmonykit.arrange.moves.ornaments import beside_chord
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

MOVE = "slide"
REPEATS = "where a chord repeats, only a common-tone diminished or a walk is added"


def test_the_last_beat_has_the_chord_a_fret_above_or_below() -> None:
    found = insertions(MOVE, tune_of("| C6 | Dm7 | G7sus4 |"))
    assert found[:2] == [[("Ebm7", 3, 1)], [("C#m7", 3, 1)]]


@pytest.mark.parametrize("name", ["ukulele", "guitar", "mandolin"])
def test_every_string_goes_one_fret_and_none_is_open(name: str) -> None:
    (way,) = reharmonise(
        tune_of("| C6 | Dm7 | G7 | C6 |"),
        Instrument.named(name),
        [MOVE],
        1,
        wishes=Wishes(weights=EAGER),
    )
    slides = [(a, b) for a, b in zip(way.steps, way.steps[1:], strict=False) if a.move == MOVE]
    assert slides
    for before, after in slides:
        assert before.voicing is not None and after.voicing is not None
        pairs = [*zip(before.voicing.frets, after.voicing.frets, strict=True)]
        gaps = {b - a for a, b in pairs if a is not None and b is not None}
        assert gaps in ({1}, {-1}) and not any(0 in pair for pair in pairs)
        word = "up" if gaps == {1} else "down"
        assert f" slides {word} a fret into {after.chord.unicode}" in before.reason  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| C6 | Bdim7 |", "two diminished sevenths do not follow each other, except in a walk"),
        ("| C6 / / Dm7 |", "the chord that follows must be on a stronger beat"),
        ("| C6 | C6 | C6 | F6 |", REPEATS),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    assert rules(MOVE, tune_of(changes))[0] == rule


def test_not_under_a_note_that_rubs() -> None:
    """A lies a semitone above the G sharp of C sharp m7, and above no tone of E flat m7."""
    held = insertions(MOVE, tune_of("| C6 | Dm7 |", melody="| r:3 A4:1 | |"))
    assert held == [[("Ebm7", 3, 1)]]


@pytest.mark.parametrize(
    ("target", "above", "below"),
    [("Bb7", "B7", "A7"), ("Ebm7", "Em7", "Dm7"), ("F6", "Gb6", "E6"), ("F#m7", "Gm7", "Fm7")],
)
def test_its_root_is_named_as_charts_do(target: str, above: str, below: str) -> None:
    """No C flat, F flat, E sharp or B sharp: common practice, no source."""
    found = [beside_chord(Chord.parse(target), side).symbol for side in ("above", "below")]
    assert found == [above, below]
