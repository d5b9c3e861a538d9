"""What may stand under a melody note."""

from __future__ import annotations

import pytest

from harmonykit.arrange.block.harmonise import fitting, harmonise_note, role_in
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

NAMES = "C C# D Eb E F F# G Ab A Bb B".split()


@pytest.mark.parametrize("name", NAMES)
def test_every_chord_has_the_note_as_the_degree_that_is_said(name: str) -> None:
    """By arithmetic, from the degrees of each symbol; in twelve keys."""
    note = Note.parse(name)
    found = harmonise_note(note)
    assert len({str(each.chord) for each in found}) == len(found)
    for each in found:
        assert note.pitch_class in each.chord.pcs
        above = (note.pitch_class - each.chord.root.pitch_class) % 12
        assert each.degree.pitch_class == above
        assert each.degree in each.chord.degrees


def test_nothing_is_left_out() -> None:
    """By brute force: every root with every plain seventh chord, and those that have E."""
    plain = ("maj7", "m7", "7", "m7b5", "dim7", "6", "m6", "mmaj7")
    wanted = {
        Chord.parse(root + kind).pcs for root in NAMES for kind in plain
        if Chord.parse(root + kind).degree_of(4) is not None
    }  # fmt: skip
    assert wanted <= {each.chord.pcs for each in harmonise_note("E")}


# Common practice, no source: the seven roles of E.
@pytest.mark.parametrize(
    ("symbol", "degree", "role"),
    [
        ("E7", "1", "root"),
        ("C7", "3", "third"),
        ("Am7", "5", "fifth"),
        ("G6", "6", "sixth"),
        ("Fmaj7", "7", "seventh"),
        ("D9", "9", "tension"),
        ("Bbmaj7#11", "#11", "tension"),
        ("G13", "13", "tension"),
        ("Bm11", "11", "tension"),
    ],
)
def test_the_roles_of_a_note(symbol: str, degree: str, role: str) -> None:
    (found,) = [each for each in harmonise_note("E") if each.chord == Chord.parse(symbol)]
    assert (found.degree.name, found.role) == (degree, role)


def test_chords_of_the_key_come_first_with_numerals() -> None:
    """The triads of C major that hold E: C, Em and Am, by arithmetic."""
    found = harmonise_note("E", "C")
    own = [each for each in found if each.diatonic]
    assert list(found[: len(own)]) == own
    triads = {(str(each.chord), each.numeral) for each in own if len(each.chord.tones) == 3}
    assert triads == {("C", "I"), ("Em", "iii"), ("Am", "vi")}


# Wikipedia, "Avoid note": a fourth over a major chord; the sixth over a dorian minor seventh.
@pytest.mark.parametrize(
    ("chord", "note"), [("Cmaj7", "F"), ("C6", "F"), ("Dm7", "B"), ("Em7", "C")]
)
def test_an_avoid_note_has_no_chord(chord: str, note: str) -> None:
    assert harmonise_note(note, chord=chord) == ()
    assert fitting(Note.parse(note), Chord.parse(chord)) is None
    assert role_in(Note.parse(note).pitch_class, Chord.parse(chord)) == ""


# Common practice, no source.
@pytest.mark.parametrize(
    ("chord", "note", "becomes"),
    [
        ("C", "D", "Cadd9"),
        ("C", "A", "C6"),
        ("C", "B", "Cmaj7"),
        ("Dm7", "E", "Dm9"),
        ("Dm7", "G", "Dm11"),
        ("G7", "A", "G9"),
        ("G7", "Ab", "G7b9"),
        ("G7", "Bb", "G7#9"),
        ("G7", "C#", "G7#11"),
        ("G7", "E", "G13"),
        ("G7", "Eb", "G7b13"),
        ("G7", "C", "G7sus4"),
        ("G7b9", "E", "None"),
        ("Bm7b5", "E", "Bm7b5add11"),
        ("Cm", "Bb", "Cm7"),
        ("G7", "D", "G7"),
    ],
)
def test_what_a_chord_becomes_under_a_note(chord: str, note: str, becomes: str) -> None:
    assert str(fitting(Note.parse(note), Chord.parse(chord))) == becomes
