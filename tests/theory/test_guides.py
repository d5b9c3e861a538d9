"""The tones that tell a chord (common practice of jazz, no source)."""

from __future__ import annotations

import pytest

from harmonykit.theory.chord import Chord
from harmonykit.theory.guides import guide_degrees


def pitch_classes(symbol: str) -> set[int]:
    chord = Chord.parse(symbol)
    return {(chord.root.pitch_class + d.pitch_class) % 12 for d in guide_degrees(chord) if d}


@pytest.mark.parametrize(("one", "other"), [("G7", "Db7"), ("C7", "F#7"), ("Bb7", "E7")])
def test_dominants_a_tritone_apart_share_them(one: str, other: str) -> None:
    assert pitch_classes(one) == pitch_classes(other) and len(pitch_classes(one)) == 2


@pytest.mark.parametrize(
    ("symbol", "third", "seventh"),
    [
        ("Cmaj13", "3", "7"), ("Cm6", "b3", "6"), ("C6/9", "3", "6"), ("Cdim7", "b3", "bb7"),
        ("C9sus4", "4", "b7"), ("Csus2", "2", None), ("Csus2sus4", "4", None), ("Cadd9", "3", None),
        ("C5", None, None), ("C13", "3", "b7"),
    ],
)  # fmt: skip
def test_what_stands_in(symbol: str, third: str | None, seventh: str | None) -> None:
    found = guide_degrees(Chord.parse(symbol))
    assert tuple(each and each.name for each in found) == (third, seventh)
