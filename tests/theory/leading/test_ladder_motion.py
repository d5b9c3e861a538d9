"""Voices on a scale: contrary motion and borrowed notes, with the counts worked out elsewhere."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import names

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.ladder import borrow, contrary, move_voices
from harmonykit.theory.note import Note
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.theory.sets.pcset import PcSet

kinds = st.sampled_from(sorted(KINDS))


class TestContrary:
    """After an odd number of steps all voices are on the diminished seventh, else on the chord."""

    @given(names, kinds, st.sets(st.integers(0, 3)), st.integers(0, 12))
    def test_the_two_chords_by_turns(
        self, tonic: Note, kind: str, falling: set[int], steps: int
    ) -> None:
        scale = SixthDiminished(tonic, kind)
        pitches = tuple(60 + pc for pc in scale.chord.pcs)
        found = contrary(scale, pitches, falling, steps)
        assert len(found) == steps + 1
        assert found[0] == pitches
        for n, chord in enumerate(found):
            sounding = scale.diminished if n % 2 else scale.chord
            assert PcSet.of(*chord) <= sounding.pcs
            for voice, (start, now) in enumerate(zip(pitches, chord, strict=True)):
                assert now == scale.step(start, -n if voice in falling else n)

    def test_outer_voices_apart(self) -> None:
        # By hand: on C major sixth-diminished the bass falls C B A Ab, the top rises A B C D.
        scale = SixthDiminished("C")
        found = contrary(scale, (60, 69), falling=[0], steps=3)
        assert found == ((60, 69), (59, 71), (57, 72), (56, 74))

    def test_an_unknown_voice_is_refused(self) -> None:
        with pytest.raises(HarmonyError, match="voice 4 is not one of the 4"):
            contrary(SixthDiminished("C"), (60, 64, 67, 69), falling=[4])

    def test_one_number_of_steps_a_voice(self) -> None:
        with pytest.raises(
            HarmonyError, match="steps are given for 3 voices, but there are 4 pitches"
        ):
            move_voices(SixthDiminished("C"), (60, 64, 67, 69), (1, 1, 1))


class TestBorrowing:
    """Of the 80 choices on four voices 34 collide; 45 distinct sets of four notes are left."""

    @pytest.mark.parametrize("kind", KINDS)
    def test_the_counts(self, kind: str) -> None:
        # 3**4 - 1 choices. Voices that stand two rungs apart collide when the lower rises and the
        # upper falls; the closed words of length 4 over -1, 0, 1 without "1 -1" number
        # trace(M**4) = 47, so 46 remain beside the chord itself; all up and all down are the same
        # diminished seventh.
        scale = SixthDiminished("C", kind)
        found = borrow(scale, tuple(60 + pc for pc in scale.chord.pcs))
        assert (found.choices, found.collisions, len(found.chords)) == (80, 34, 45)
        assert len({one.pcs for one in found.chords}) == 45
        assert all(len(one.pcs) == 4 and one.pcs <= scale.pcs for one in found.chords)

    def test_the_counts_by_brute_force(self) -> None:
        import numpy as np

        way = np.ones((3, 3), dtype=int)
        way[2, 0] = 0  # a rise may not stand under a fall
        closed = int(np.trace(np.linalg.matrix_power(way, 4)))
        assert 80 - (closed - 1) == 34

    def test_one_voice_borrowed_names(self) -> None:
        # By hand: C6 with its A raised to B is Cmaj7, its C lowered to B is E G A B; all four
        # moved give the diminished seventh.
        found = {one.steps: one for one in borrow(SixthDiminished("C"), (60, 64, 67, 69)).chords}
        assert [chord.symbol for chord in found[0, 0, 0, 1].names] == ["Cmaj7"]
        assert found[-1, 0, 0, 0].pitches == (59, 64, 67, 69)
        whole = found[-1, -1, -1, -1] if (-1, -1, -1, -1) in found else found[1, 1, 1, 1]
        assert whole.pcs == Chord.parse("Bdim7").pcs

    def test_those_that_move_the_fewest_voices_come_first(self) -> None:
        moved = [
            sum(map(abs, one.steps))
            for one in borrow(SixthDiminished("F", "minor"), (65, 68, 72, 74)).chords
        ]
        assert moved == sorted(moved)
