"""Every change of one note, against tables computed by exhaustion, brute force and Cohn."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from strategies import chords

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.neighbours import neighbours, one_note_changes
from harmonykit.theory.sets.pcset import PcSet


@given(chords)
def test_every_change_is_there_once(chord: Chord) -> None:
    wanted = {
        chord.pcs - PcSet.of(pc) | PcSet.of((pc + way) % 12)
        for pc in chord.pcs
        for way in (-2, -1, 1, 2)
        if (pc + way) % 12 not in chord.pcs
    }
    found = one_note_changes(chord, 2, named=False)
    assert {one.pcs for one in found} == wanted
    for one in found:
        assert one.pcs == chord.pcs - PcSet.of(one.move.start.pitch_class) | PcSet.of(
            one.move.end.pitch_class
        )
        assert all(name.pcs == one.pcs for name in one.names)


def test_weitzmann_and_the_diminished_seventh() -> None:
    """Cohn 2012: six triads about an augmented one; four dominants, four half-diminished."""
    about = Counter(one.names[0].quality for one in one_note_changes("C+", 1))
    assert about == {"": 3, "m": 3}
    near = Counter(one.names[0].quality for one in one_note_changes("Bdim7", 1))
    assert near == {"7": 4, "m6": 4} or near == {"7": 4, "m7b5": 4}
    falls = [one for one in one_note_changes("Bdim7", 1) if one.semitones == -1]
    assert {one.names[0].root.pitch_class for one in falls} == {10, 1, 4, 7}


@pytest.mark.parametrize("chord", ["C+", "Bm7b5", "C7b5", "Csus4", "C6", "Cmaj7", "G9"])
def test_semitones_alone_are_the_neighbours(chord: str) -> None:
    found = {one.pcs for one in one_note_changes(chord, 1)}
    assert found == {near.pcs for near in neighbours(chord)}


def test_a_reach_is_one_or_two() -> None:
    with pytest.raises(HarmonyError):
        one_note_changes("C", 3)
