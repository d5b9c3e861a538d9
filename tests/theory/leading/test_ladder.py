"""Ladders: steps in every octave, for every scale of the table and the sixth-diminished ones."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import names

from harmonykit.errors import HarmonyError
from harmonykit.theory.leading.ladder import Ladder
from harmonykit.theory.modes import SCALES, Scale
from harmonykit.theory.note import Note
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.theory.sets.pcset import PcSet

ladders: st.SearchStrategy[Ladder] = st.one_of(
    st.builds(Scale, names, st.sampled_from(sorted(SCALES))),
    st.builds(SixthDiminished, names, st.sampled_from(sorted(KINDS))),
)


class TestSteps:
    """Steps add up, never leave the scale, and an octave has as many as the scale has notes."""

    @given(ladders, st.integers(-20, 20), st.integers(-20, 20))
    def test_they_add_up(self, ladder: Ladder, first: int, second: int) -> None:
        pitch = 60 + ladder.tonic.pitch_class
        there = ladder.step(ladder.step(pitch, first), second)
        assert there == ladder.step(pitch, first + second)
        assert there % 12 in ladder.pcs

    @given(ladders, st.integers(-3, 3))
    def test_octaves(self, ladder: Ladder, octaves: int) -> None:
        pitch = 60 + ladder.tonic.pitch_class
        assert ladder.step(pitch, octaves * len(ladder.notes)) == pitch + 12 * octaves

    @given(ladders)
    def test_the_pattern_is_climbed(self, ladder: Ladder) -> None:
        pitch = 60 + ladder.tonic.pitch_class
        for steps, semitones in enumerate(ladder.pattern):
            assert ladder.step(pitch, steps + 1) - ladder.step(pitch, steps) == semitones
        assert sum(ladder.pattern) == 12

    @given(ladders)
    def test_the_spelling(self, ladder: Ladder) -> None:
        assert ladder.notes[0] == ladder.tonic
        assert PcSet.of(*(note.pitch_class for note in ladder.notes)) == ladder.pcs
        assert len(ladder.pcs) == len(ladder.notes)
        assert all(ladder.spell(note.pitch_class) == note for note in ladder.notes)


def test_every_other_note() -> None:
    # Common practice: the sevenths of C major are maj7, m7, m7, maj7, 7, m7, m7b5.
    major = Scale("C", "major")
    found = ["".join(note.name for note in major.every_other(place)) for place in range(7)]
    assert found == ["CEGB", "DFAC", "EGBD", "FACE", "GBDF", "ACEG", "BDFA"]
    sixth = SixthDiminished("C")
    assert {sixth.every_other(place)[0].name for place in range(0, 8, 2)} == set("CEGA")


def test_foreign_notes_are_refused() -> None:
    with pytest.raises(HarmonyError, match="Db4 is not a note of the C major scale"):
        Scale("C").step(61)
    with pytest.raises(HarmonyError, match="pitch class 1 is not a note of the C major scale"):
        Scale("C").spell(1)
    assert Scale("C").climb((60, 64), 2) == (64, 67)
    assert Note.parse("C") == Scale("C").tonic
