"""What the ear hears: leading tones, tritones and top lines of well known cadences."""

from __future__ import annotations

import pytest

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.together.heard import leading_tone, moments, said_of, tritone
from harmonykit.theory.chord import Chord

# Aldwell, Schachter and Cadwallader, Harmony and Voice Leading: the leading tone rises to the
# tonic, the seventh falls by step; common practice of jazz for substitutes, no source.
CADENCES = [
    ("G7", "C", ("B", "C"), {("B", "C"), ("F", "E")}),
    ("D7", "Gm", ("F#", "G"), {("F#", "G"), ("C", "Bb")}),
    ("Bdim7", "Cm", ("B", "C"), {("B", "C"), ("F", "Eb")}),
    ("F#dim7", "Gm7", ("F#", "G"), {("F#", "G"), ("C", "Bb")}),
    ("Ab7", "Gm", None, {("C", "Bb"), ("Gb", "G")}),
    ("C", "F", ("E", "F"), None),
    ("Am", "Dm", None, None),
    ("C", "G", None, None),
    # A line that falls over one root is no leading tone.
    ("Am(maj7)", "Am7", None, None),
]


@pytest.mark.parametrize(("chord", "after", "led", "both"), CADENCES)
def test_leading_tone_and_tritone(
    chord: str, after: str, led: tuple[str, str] | None, both: set[tuple[str, str]] | None
) -> None:
    found = leading_tone(Chord.parse(chord), Chord.parse(after))
    assert (found and tuple(str(note) for note in found)) == led
    pair = tritone(Chord.parse(chord), Chord.parse(after))
    assert (pair and {(str(low), str(high)) for low, high in pair}) == both


@pytest.mark.parametrize("name", ["four_dominants", "scale_of_chords"])
def test_what_is_said_is_so_in_semitones(name: str) -> None:
    """The notes named are in their chords, and move as far as is said."""
    for played in load_lesson(name).played:
        found = moments(played.arrangement)
        assert found
        for moment in found:
            chord, after = moment.step.chord, moment.after.chord
            assert chord is not None and after is not None
            if pair := tritone(chord, after):
                assert (pair[0][0].pitch_class - pair[1][0].pitch_class) % 12 == 6
                for note, goal in pair:
                    assert note.pitch_class in chord.pcs and goal.pitch_class in after.pcs
                    assert (goal.pitch_class - note.pitch_class) % 12 in (1, 2, 10, 11)
            assert all(line.endswith(".") for line in said_of(moment))
            assert moment.last - moment.first in (0, 1)
