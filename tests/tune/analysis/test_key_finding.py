"""Keys found from chords: short rows whose key is plain (common practice, no source)."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import find_key, is_tonic
from harmonykit.tune.bar import TuneError


def found(row: str):
    return find_key([(Chord.parse(symbol), Q(4)) for symbol in row.split()])


@pytest.mark.parametrize(
    ("row", "key"),
    [
        ("Dm7 G7 Cmaj7 Am7", "C major"),
        ("Am Dm E7 Am", "A minor"),
        ("Bm7b5 E7 Am6", "A minor"),
        ("Gb Db7 Gb", "Gb major"),
        ("F#m B7 E", "E major"),
        ("Ebmaj7 Cm7 Fm7 Bb7", "Eb major"),
        ("C7 F7 C7 G7 F7 C7", "C major"),
        ("D B7 E7 A7 D", "D major"),
    ],
)
def test_plain_keys(row, key):
    assert str(found(row).key) == key


def test_silence_tells_nothing():
    with pytest.raises(TuneError, match="no chord tells"):
        find_key([(None, Q(4))])


def test_keys_that_come_near_are_told():
    # Two chords that F and C share.
    both = found("F C")
    assert {str(both.key), *map(str, both.near)} >= {"F major", "C major"}
    assert found("Dm7 G7 C6 Dm7 G7 C6").near == ()


@pytest.mark.parametrize(
    ("symbol", "key", "expected"),
    [
        ("C", "C", True), ("C6/9", "C", True), ("Cmaj7", "C", True), ("C7", "C", False),
        ("Cm", "C", False), ("Cm7", "Cm", True), ("Cmmaj7", "Cm", True), ("Cm7b5", "Cm", False),
        ("Am7", "C", False), ("C5", "C", False),
    ],
)  # fmt: skip
def test_tonic_chords(symbol, key, expected):
    assert is_tonic(Chord.parse(symbol), Key.parse(key)) is expected
