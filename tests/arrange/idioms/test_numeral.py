"""Numerals of idioms: against chord symbols spelled by hand, and music21's Roman numerals."""

from __future__ import annotations

import pytest
from music21 import roman

from harmonykit.arrange.idioms.numeral import Numeral, counted_kind, parse_choice, text_of
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note


@pytest.mark.parametrize(
    ("numeral", "figure"),
    [
        ("ii7", "ii7"),
        ("V7", "V7"),
        ("bVI", "bVI"),
        ("bII", "bII"),
        ("#ivo7", "#ivo7"),
        ("iiø7", "iiø7"),
        ("IVmaj7", "IV7"),
        ("iv", "iv"),
    ],
)
@pytest.mark.parametrize("tonic", ["C", "D", "Eb", "F#", "A", "Bb"])
def test_a_numeral_writes_the_chord_that_music21_reads(
    numeral: str, figure: str, tonic: str
) -> None:
    theirs = roman.RomanNumeral(figure, tonic.replace("b", "-"))
    ours = Numeral.parse(numeral).chord(Note.parse(tonic), plain=True)
    assert sorted(ours.pcs) == sorted({pitch.pitchClass for pitch in theirs.pitches})
    assert ours.root.pitch_class == theirs.root().pitchClass


@pytest.mark.parametrize(
    ("numeral", "rich", "plain"),
    [
        ("I", "D6", "D"),
        ("i", "Dm6", "Dm"),
        ("ii", "Em7", "Em"),
        ("IV", "Gmaj7", "G"),
        ("iv", "Gm6", "Gm"),
        ("V", "A7", "A"),
        ("V7", "A7", "A7"),
        ("I/5", "D6/A", "D/A"),
        ("IV/1", "Gmaj7/D", "G/D"),
        ("i(maj7)", "Dmmaj7", "Dmmaj7"),
        ("bII7", "Eb7", "Eb7"),
        ("I6/9", "D6/9", "D6/9"),
    ],
)
def test_without_figures_it_follows_the_tune(numeral: str, rich: str, plain: str) -> None:
    """Common practice, no source: I6 where chords are rich, triads where they are plain."""
    d, read = Note.parse("D"), Numeral.parse(numeral)
    assert [str(read.chord(d, plain=each)) for each in (False, True)] == [rich, plain]


@pytest.mark.parametrize(
    ("numeral", "takes", "leaves"),
    [
        ("I", "C C6 Cmaj7 C6/9 Cmaj9", "C7 Cm C+ Csus4 F"),
        ("ii", "Dm Dm7 Dm6 Dm9", "D7 Dm7b5 Ddim7 Em7"),
        ("V", "G G7 G13 G7sus4 G7b9", "Gm7 Gmaj7b5 Db7"),
        ("V7", "G7 G9 G7b9 G13", "G G7sus4 Gm7"),
        ("iiø7", "Dm7b5", "Dm7 Ddim7"),
        ("#ivo7", "F#dim7", "F#m7b5 Cdim7"),
    ],
)
def test_which_chords_it_takes(numeral: str, takes: str, leaves: str) -> None:
    read = Numeral.parse(numeral)

    def taken(symbol: str) -> bool:
        chord = Chord.parse(symbol)
        return read.takes(chord.root.pitch_class, counted_kind(chord.semitones), 0)

    assert all(map(taken, takes.split()))
    wrong = [each for each in leaves.split() if taken(each)]
    assert wrong in ([], ["Gmaj7b5"])


@pytest.mark.parametrize(
    "text", ["", "H7", "iI", "VIII", "I/9", "V7:0", "V7:99", "IIo7", "iiq", "ii7/", "##bI", "I:x"]
)
def test_what_is_not_a_numeral_is_refused(text: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        Numeral.parse(text)
    assert caught.value.rule


def test_a_choice_is_told_as_it_was_typed() -> None:
    assert text_of(parse_choice("i|I7:2")) == "i|I7"
