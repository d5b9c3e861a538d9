"""What a note does in its chord."""

from __future__ import annotations

import pytest

from harmonykit.draw.base.roles import degree_label, degree_word, role_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

# Common practice, no source: the role of each tone, written out by hand.
TONES = {
    "C": "C root E third G fifth",
    "Am7": "A root C third E fifth G seventh",
    "C6": "C root E third G fifth A seventh",
    "Bm7b5": "B root D third F fifth A seventh",
    "G7b9": "G root B third D fifth F seventh Ab tension",
    "G7#5": "G root B third D# tension F seventh",
    "G7b5": "G root B third Db tension F seventh",
    "D13": "D root F# third A fifth C seventh E tension G tension B tension",
    "Gsus4": "G root C tension D fifth",
    "Edim7": "E note G note Bb note Db note",
    "E5": "E root B fifth",
}


@pytest.mark.parametrize(("symbol", "tones"), TONES.items())
def test_each_tone_has_its_role(symbol: str, tones: str) -> None:
    chord = Chord.parse(symbol)
    words = tones.split()
    for name, role in zip(words[::2], words[1::2], strict=True):
        assert role_of(chord, Note.parse(name).pitch_class) == role, name


def test_a_note_outside_the_chord_is_a_plain_note() -> None:
    assert role_of(Chord.parse("C/D"), 2) == "note"
    assert role_of(None, 2) == "note"
    assert degree_word(Chord.parse("C/D"), 9) == degree_word(None, 2) == ""
    assert degree_word(Chord.parse("C/D"), 2) == "the bass"


def test_degrees_are_said_in_words() -> None:
    said = [degree_word(Chord.parse("Cdim7"), pc) for pc in (0, 3, 6, 9)]
    assert said == ["the root", "the minor third", "the flat fifth", "the diminished seventh"]
    said = [degree_word(Chord.parse("C7#9"), pc) for pc in (4, 10, 3)]
    assert said == ["the major third", "the flat seventh", "the sharp ninth"]
    assert degree_word(Chord.parse("Cmaj7"), 11) == "the major seventh"


def test_degrees_are_printed_from_the_root() -> None:
    """The spelled degrees of these chords are common practice, no source."""
    labels = {
        "Cdim7": "1 ♭3 ♭5 𝄫7",
        "G7b9": "1 3 5 ♭7 ♭9",
        "F#m7b5": "1 ♭3 ♭5 ♭7",
        "C7#5": "1 3 ♯5 ♭7",
    }
    for symbol, said in labels.items():
        chord = Chord.parse(symbol)
        assert " ".join(degree_label(chord, n.pitch_class) for n in chord.tones) == said
    assert degree_label(None, 0) == degree_label(Chord.parse("C"), 1) == ""
