"""Notes: against music21, and the laws that they obey."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import NAMES, names, pitches
from theirs import music21_name

from harmonykit.errors import HarmonyError
from harmonykit.theory.note import Interval, Note, printed_accidental

# Scientific pitch notation: MusicXML 4.0, <octave>; C4 is middle C, MIDI 60.
MIDI = [("C4", 60), ("B#3", 60), ("Cb4", 59), ("A4", 69), ("C-1", 0), ("G9", 127), ("Fx2", 43)]


@pytest.mark.parametrize(("text", "midi"), MIDI)
def test_an_octave_belongs_to_the_letter(text: str, midi: int) -> None:
    assert Note.parse(text).midi == midi


def test_pitches_are_those_of_music21() -> None:
    from music21.pitch import Pitch

    for note in NAMES:
        for octave in range(0, 9):
            theirs = Pitch(music21_name(note))
            theirs.octave = octave
            assert note.at(octave).midi == theirs.ps
            assert note.pitch_class == theirs.pitchClass


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("B♭", "Bb"),
        ("F𝄪", "F##"),
        ("Fx", "F##"),
        ("B𝄫", "Bbb"),
        ("C♮", "C"),
        (" eb ", "Eb"),
        ("G＃", "G#"),
    ],
)
def test_glyphs_and_look_alikes_are_read(text: str, name: str) -> None:
    assert Note.parse(text).name == name


@pytest.mark.parametrize(
    ("text", "column"),
    [("H", 1), ("", 1), ("Cq", 2), ("Bb?3", 3), ("C#4x", 4), ("C444", 4), ("4", 1), ("C٤", 2)],
)
def test_what_is_no_note_is_said_with_a_caret(text: str, column: int) -> None:
    with pytest.raises(HarmonyError, match="is not a note") as caught:
        Note.parse(text)
    assert caught.value.place is not None
    assert caught.value.place.column == column


def test_too_many_accidentals_are_refused() -> None:
    with pytest.raises(HarmonyError, match="too many accidentals"):
        Note.parse("Cbbbbbbb")


@pytest.mark.parametrize("letter", ["H", "c", "CD", ""])
def test_a_letter_is_one_of_seven(letter: str) -> None:
    with pytest.raises(HarmonyError, match="is not a note letter"):
        Note(letter)


def test_a_name_without_an_octave_has_no_pitch() -> None:
    with pytest.raises(HarmonyError, match="no octave"):
        _ = Note.parse("Bb").midi


def test_a_name_takes_no_pitch_that_it_does_not_sound() -> None:
    with pytest.raises(HarmonyError, match="is not the name of MIDI note"):
        Note.parse("C").at_pitch(61)


def test_printed_accidentals() -> None:
    # The Unicode musical symbols U+1D12A and U+1D12B; a triple one is a single and a double.
    assert [printed_accidental(n) for n in range(-3, 4)] == ["♭𝄫", "𝄫", "♭", "", "♯", "𝄪", "♯𝄪"]


class TestLineOfFifths:
    """The line of fifths is the whole numbers: each name has one place, each place one name."""

    @given(names)
    def test_a_place_gives_its_name_back(self, note: Note) -> None:
        assert Note.from_fifths(note.fifths) == note

    @given(st.integers(-40, 40))
    def test_one_place_further_is_a_fifth_up(self, place: int) -> None:
        fifth = Interval.parse("P5")
        assert Note.from_fifths(place).transpose(fifth) == Note.from_fifths(place + 1)

    def test_fifths_from_f_flat_to_b_sharp(self) -> None:
        # Common practice: the order of sharps is F C G D A E B, of flats the reverse.
        sharps = [Note.from_fifths(n).name for n in range(6, 13)]
        assert sharps == ["F#", "C#", "G#", "D#", "A#", "E#", "B#"]
        flats = [Note.from_fifths(n).name for n in range(-2, -9, -1)]
        assert flats == ["Bb", "Eb", "Ab", "Db", "Gb", "Cb", "Fb"]


class TestNames:
    """A name chosen for a pitch sounds that pitch."""

    @given(st.integers(0, 127), st.booleans())
    def test_from_midi(self, midi: int, flats: bool) -> None:
        note = Note.from_midi(midi, flats=flats)
        assert note.midi == midi
        assert note.accidental in ((0, -1) if flats else (0, 1))

    @given(st.integers(0, 11), st.sampled_from("CDEFGAB"))
    def test_on_a_letter(self, pitch_class: int, letter: str) -> None:
        note = Note.spelled(pitch_class, letter)
        assert (note.pitch_class, note.letter) == (pitch_class, letter)
        assert -6 <= note.accidental <= 5

    @given(names)
    def test_easy_reading_keeps_the_pitch(self, note: Note) -> None:
        assert note.plain().pitch_class == note.pitch_class
        assert abs(note.plain().accidental) < 2
        assert note.at(4).plain().midi == note.at(4).midi

    @given(pitches)
    def test_text_reads_back(self, note: Note) -> None:
        assert Note.parse(str(note)) == note
        assert Note.parse(note.unicode).at(note.octave) == note
        assert eval(repr(note)) == note
