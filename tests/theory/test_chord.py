"""Chords: tones against music21 and published definitions, and what follows from them."""

from __future__ import annotations

import pytest
from hypothesis import given
from strategies import NAMES, chords, intervals
from tables import numbers, rows
from theirs import music21_name

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.note import Interval, Note
from harmonykit.theory.sets.pcset import PcSet

# MusicXML 4.0 kind values and the suffixes of the same chords.
SUFFIX_OF_KIND = {
    "major": "", "minor": "m", "augmented": "+", "diminished": "mb5", "dominant": "7",
    "major-seventh": "maj7", "minor-seventh": "m7", "diminished-seventh": "dim7",
    "augmented-seventh": "7#5", "half-diminished": "m7b5", "major-minor": "mmaj7",
    "major-sixth": "6", "minor-sixth": "m6", "dominant-ninth": "9", "major-ninth": "maj9",
    "minor-ninth": "m9", "dominant-11th": "11", "major-11th": "maj11", "minor-11th": "m11",
    "dominant-13th": "13", "major-13th": "maj13", "minor-13th": "m13",
    "suspended-second": "sus2", "suspended-fourth": "sus4", "power": "5",
}  # fmt: skip
KINDS = [row for row in rows("musicxml_kinds") if row["kind"] in SUFFIX_OF_KIND]


@pytest.mark.parametrize("row", KINDS, ids=lambda row: row["kind"])
class TestKinds:
    """Each kind that MusicXML 4.0 defines by its intervals."""

    def test_semitones(self, row: dict[str, str]) -> None:
        chord = Chord.of("C", SUFFIX_OF_KIND[row["kind"]])
        assert chord.semitones == numbers(row["pcs"])
        assert tuple(d.semitones for d in chord.degrees) == numbers(row["semitones_from_root"])

    def test_tones_are_spelled_as_music21_spells_them(self, row: dict[str, str]) -> None:
        # Root and kind are handed over; its reader of symbols is not used, for it misreads.
        from music21.harmony import ChordSymbol

        for root in NAMES:
            if abs(root.accidental) < 2:
                theirs = ChordSymbol(root=music21_name(root), kind=row["kind"])
                ours = Chord.of(root, SUFFIX_OF_KIND[row["kind"]])
                names = {pitch.name for pitch in theirs.pitches}
                assert {music21_name(note) for note in ours.tones} == names


def test_sixths_are_sevenths_turned_over() -> None:
    # synonyms.tsv: arithmetic and common practice, in all keys.
    for row in rows("synonyms"):
        one, other = Chord.parse(row["a"]), Chord.parse(row["b"])
        shared = tuple(sorted(set(one.pcs) & set(other.pcs)))
        assert shared == numbers(row["shared"])
        assert (one.pcs == other.pcs) == (row["pcs_equal"] == "1")


@pytest.mark.parametrize(
    ("symbol", "dominant", "minor", "diminished"),
    [
        ("C7", True, False, False),
        ("C7b9", True, False, False),
        ("C9sus4", False, False, False),
        ("Cmaj7", False, False, False),
        ("Cm7", False, True, False),
        ("Cm6", False, True, False),
        ("Cm7b5", False, False, False),
        ("Cdim7", False, False, True),
        ("C7alt", True, False, False),
    ],
)
def test_kinds_by_their_tones(symbol: str, dominant: bool, minor: bool, diminished: bool) -> None:
    chord = Chord.parse(symbol)
    found = (chord.is_dominant, chord.is_minor, chord.is_diminished_seventh)
    assert found == (dominant, minor, diminished)


def test_degrees_and_names_of_what_sounds() -> None:
    chord = Chord.parse("C7#9/Gb")
    assert [str(chord.degree_of(pc)) for pc in (0, 3, 4, 7, 10)] == ["1", "#9", "3", "5", "b7"]
    assert chord.degree_of(6) is None
    assert chord.spell(3).name == "D#"
    assert chord.spell(6).name == "Gb"
    assert Chord.parse("C7").spell(6).name == "F#"
    assert Chord.parse("C7").spell(1).name == "Db"


def test_a_foreign_bass_sounds_and_is_not_a_tone() -> None:
    chord = Chord.parse("C/D")
    assert chord.bass == Note.parse("D") == chord.foreign_bass
    assert chord.pcs == PcSet.of(0, 2, 4, 7)
    assert chord.semitones == (0, 4, 7)
    assert Note.parse("D") not in chord.tones and chord.notes == (chord.bass, *chord.tones)
    assert chord.over(None) == Chord.parse("C")


@pytest.mark.parametrize(
    ("one", "other"),
    [("Dm7/G", "G9sus4"), ("C/Bb", "C7"), ("F/G", "G11(no3,no5)"), ("Am/F", "Fmaj7")],
)
def test_names_of_one_set_with_another_bass(one: str, other: str) -> None:
    """A chord over a foreign bass is often another chord (common practice, no source)."""
    a, b = Chord.parse(one), Chord.parse(other)
    assert set(a.pcs) == {t.pitch_class for t in b.tones}


def test_a_diminished_seventh_over_a_foreign_bass_is_none() -> None:
    """A°7 over B is B7♭9; over C, which is one of its notes, it is an inversion."""
    assert not Chord.parse("Adim7/B").is_diminished_seventh
    assert Chord.parse("Adim7/C").is_diminished_seventh
    assert Chord.parse("Adim7/B").pcs == Chord.parse("B7b9").pcs


def test_a_chord_is_normalised_when_it_is_made() -> None:
    made = Chord(Note.parse("C4"), (Degree(5), Degree(3), Degree(1), Degree(3)), Note.parse("E2"))
    assert made == Chord.parse("C/E")
    assert hash(made) == hash(Chord.parse("C/E"))


def test_degrees_that_no_symbol_says_have_a_repr() -> None:
    odd = Chord.build(Note("C"), [Degree(1), Degree(2, 1)])
    assert repr(odd).startswith("Chord(Note.parse('C')")
    with pytest.raises(HarmonyError, match="no chord symbol for 1 #2"):
        _ = odd.symbol


def test_an_unknown_suffix_is_said() -> None:
    with pytest.raises(HarmonyError, match="'maj8' is not a quality in the table"):
        Chord.of("C", "maj8")


def test_easy_reading_of_a_root() -> None:
    assert Chord.parse("Fbbm7/Abb").easy().symbol == "Ebm7/G"


class TestTransposition:
    """A chord moves as its notes do, by interval; equality ignores how a chord was typed."""

    @given(chords, intervals)
    def test_tones_move(self, chord: Chord, interval: Interval) -> None:
        moved = chord.transpose(interval)
        assert moved.semitones == chord.semitones
        assert moved.tones == tuple(note.transpose(interval).at(None) for note in chord.tones)
        assert moved.pcs == chord.pcs.transpose(interval.semitones)
        assert moved.transpose(-interval) == chord

    def test_by_interval_and_not_by_semitone(self) -> None:
        # D flat 7 up a whole step is E flat 7, not D sharp 7.
        assert Chord.parse("Db7").transpose(Interval.parse("M2")).symbol == "Eb7"

    @given(chords)
    def test_the_set_is_that_of_the_tones_and_the_bass(self, chord: Chord) -> None:
        tones = {note.pitch_class for note in chord.tones}
        assert set(chord.pcs) == tones | {chord.bass.pitch_class}
        assert set(chord.pcs) == {note.pitch_class for note in chord.notes}
        assert (chord.foreign_bass is None) == (chord.bass.pitch_class in tones)
        assert 0 in chord.semitones
        assert chord.droppable <= set(chord.semitones)
        for note in chord.tones:
            assert chord.spell(note.pitch_class).pitch_class == note.pitch_class
