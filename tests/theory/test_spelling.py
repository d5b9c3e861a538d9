"""Names by use and for easy reading: the published spellings, and the pitches that never change."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import NAMES, chords, names

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.theory.spelling import (
    beside,
    common_tone,
    double_names,
    name_by_use,
    need_diminished,
    side_of,
    usual_root,
)

sevenths = st.builds(lambda root: Chord.of(root, "dim7"), names)


class TestPolicies:
    """A policy changes names alone."""

    @given(chords)
    def test_easy_reading_keeps_the_pitch_and_has_one_accidental_at_most(
        self, chord: Chord
    ) -> None:
        for note in chord.tones:
            assert note.plain().pitch_class == note.pitch_class
            assert abs(note.plain().accidental) <= 1

    @given(chords)
    def test_by_use_each_degree_has_its_letter(self, chord: Chord) -> None:
        around = "CDEFGAB" * 3
        start = around.index(chord.root.letter)
        for degree, note in zip(chord.degrees, chord.tones, strict=True):
            assert note.letter == around[start + degree.number - 1]


@pytest.mark.parametrize(
    ("chord", "target", "side", "name"),
    [
        # The rule is common practice: rising takes the letter below, falling the letter above.
        ("Bbdim7", "Dm7", "below", "C#dim7"),
        ("Adim7", "Em", "below", "D#dim7"),
        ("F#dim7", "Dm7", "above", "Ebdim7"),
        ("D#dim7", "Dm7", "above", "Ebdim7"),
        ("Ebdim7", "C", "same", "Cdim7"),
        ("Bdim7", "C", "below", "Bdim7"),
        ("Ddim7", "Ab", "same", "Abdim7"),
        # Before a slash chord the bass is the target.
        ("Cdim7", "C/E", "below", "D#dim7"),
        ("Bdim7", "G/B", "above", "Abdim7"),
        ("Bbdim7", "G7/B", "below", "A#dim7"),
    ],
)
def test_a_diminished_seventh_is_named_by_its_use(
    chord: str, target: str, side: str, name: str
) -> None:
    assert side_of(Chord.parse(chord), Chord.parse(target)) == side
    assert name_by_use(Chord.parse(chord), Chord.parse(target)).symbol == name


@given(sevenths, chords)
def test_naming_keeps_the_notes(chord: Chord, target: Chord) -> None:
    named = name_by_use(chord, target)
    assert named.pcs == chord.pcs
    assert named.is_diminished_seventh


@given(names)
def test_each_root_has_one_of_each_use(root: Note) -> None:
    target = Chord.of(root)
    sides = [side_of(Chord.of(n, "dim7"), target) for n in ("C", "C#", "D")]
    assert sorted(sides) == ["above", "below", "same"]


def test_the_common_tone_both_ways() -> None:
    # On the root, as charts write; from the raised second, Integrated Music Theory, "18b", whose
    # example in A major is spelled A B# D# F#.
    assert [n.name for n in common_tone("A").tones] == ["A", "C", "Eb", "Gb"]
    raised = common_tone("A", rising=True)
    assert {n.name for n in raised.tones} == {"A", "B#", "D#", "F#"}
    for root in NAMES:
        target = Chord.of(root)
        assert common_tone(target).pcs == common_tone(target, rising=True).pcs
        assert root.pitch_class in common_tone(target).pcs


def test_beside_a_note() -> None:
    assert beside(Note.parse("F"), "below").name == "E"
    assert beside(Note.parse("F"), "above").name == "Gb"
    with pytest.raises(HarmonyError, match="'left' is not a known side"):
        beside(Note.parse("F"), "left")


def test_two_names_of_one_shape_are_listed_once() -> None:
    sheet = [Chord.parse(s) for s in "Cdim7 D#dim7 C6 Am7/E Cdim7/A F#dim7 G7".split()]
    groups = [[chord.symbol for chord in group] for group in double_names(sheet)]
    assert groups == [["Cdim7", "D#dim7", "F#dim7"], ["C6", "Am7"]]
    assert double_names([Chord.parse("C"), Chord.parse("C/E")]) == ()


def test_usual_roots() -> None:
    # Common practice, no source: the names that charts use.
    found = [usual_root(n).name for n in (1, 3, 6, 8, 10, 13)]
    assert found == ["Db", "Eb", "F#", "Ab", "Bb", "Db"]


def test_another_chord_is_refused() -> None:
    with pytest.raises(HarmonyError, match="C6 is not a diminished seventh"):
        need_diminished(Chord.parse("C6"))
