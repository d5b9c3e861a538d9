"""Roman numerals: against music21's own names of degrees and kinds."""

from __future__ import annotations

import pytest

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.tune.analysis.numerals import degree_of, is_own_degree, name_of_goal, numeral_of


@pytest.mark.parametrize("key", ["C", "Eb", "A", "F#"])
@pytest.mark.parametrize(
    ("suffixed", "expected"),
    [
        # Elementary theory: the seventh chords of a major key, root by root.
        ("1maj7", "Imaj7"), ("2m7", "ii7"), ("3m7", "iii7"), ("4maj7", "IVmaj7"), ("57", "V7"),
        ("6m7", "vi7"), ("7m7b5", "viiø7"),
    ],
)  # fmt: skip
def test_the_seventh_chords_of_a_major_key(key, suffixed, expected):
    tonality = Key.parse(key)
    root = tonality.scale[int(suffixed[0]) - 1]
    assert numeral_of(Chord.of(root, suffixed[1:]), tonality) == expected


@pytest.mark.parametrize(
    ("symbol", "expected"),
    [
        ("Am", "i"), ("Bm7b5", "iiø7"), ("C", "bIII"), ("Dm6", "iv6"), ("E7b9", "V7b9"),
        ("F", "bVI"), ("G7", "bVII7"), ("G#dim7", "viio7"), ("Caug", "bIII+"),
        ("Ammaj7", "i(maj7)"), ("Bmb5", "iio"), ("A5", "I5"), ("Esus4", "Vsus4"),
        ("Am(add9)", "i(add9)"), ("G#dim(maj7)", "viio(maj7)"), ("G#dim7b13", "viio7b13"),
    ],
)  # fmt: skip
def test_a_minor_key_counts_from_the_major_scale(symbol, expected):
    assert numeral_of(Chord.parse(symbol), Key.parse("Am")) == expected


def test_degrees_go_by_letters():
    key = Key.parse("E")
    names = ("E", "F#", "G", "Fx", "B", "D", "D#", "Eb")
    found = [str(degree_of(Note.parse(name.replace("x", "##")), key)) for name in names]
    assert found == ["1", "2", "b3", "#2", "5", "b7", "7", "b1"]


def test_goals_are_called_by_what_stands_there_or_by_the_key():
    key = Key.parse("C")
    dm, d7, fm = map(Chord.parse, ("Dm7", "D7", "Fm6"))
    assert name_of_goal(dm.root, key, dm) == "ii"
    assert name_of_goal(d7.root, key, d7) == "ii"
    assert name_of_goal(fm.root, key, fm) == "iv"
    assert name_of_goal(fm.root, key) == "IV"
    assert is_own_degree(dm.root, key)
    assert not is_own_degree(key.tonic, key)


# Common practice, no source: sharp degrees lead up and are diminished; a dominant is on a flat one.
@pytest.mark.parametrize(
    ("key", "symbol", "numeral"),
    [
        ("Bb", "B7", "bII7"),
        ("C", "C#7", "bII7"),
        ("A minor", "A#7", "bII7"),
        ("C", "D#7", "bIII7"),
        ("C", "G#maj7", "bVImaj7"),
        ("C", "C#dim7", "#io7"),
        ("C", "F#m7b5", "#ivø7"),
        ("C", "Db7", "bII7"),
    ],
)
def test_a_major_third_stands_on_a_lowered_degree(key: str, symbol: str, numeral: str) -> None:
    assert numeral_of(Chord.parse(symbol), Key.parse(key)) == numeral
