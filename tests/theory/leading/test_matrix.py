"""Arrays of chords give the distances that single pairs give, whatever the sizes and blocks."""

from __future__ import annotations

import math
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from joined import fewest

from harmonykit.theory.leading import matrix
from harmonykit.theory.leading.matching import least
from harmonykit.theory.leading.matrix import least_all, pitch_semitones

pitches = st.lists(st.integers(40, 80), min_size=1, max_size=5).map(lambda p: tuple(sorted(p)))
EVERY = [notes for size in range(1, 13) for notes in combinations(range(12), size)]


@pytest.mark.parametrize("norm", [1, 2, math.inf])
@pytest.mark.parametrize("doubling", [False, True])
def test_chords_of_all_sizes_at_once(norm: float, doubling: bool) -> None:
    rng = np.random.default_rng(12)
    rows = [EVERY[i] for i in rng.choice(len(EVERY), 60, replace=False)] + EVERY[-2:]
    columns = [EVERY[i] for i in rng.choice(len(EVERY), 40, replace=False)] + EVERY[:2]
    found = least_all(rows, columns, norm, doubling=doubling)
    for i, a in enumerate(rows):
        for j, b in enumerate(columns):
            assert found[i, j] == least(a, b, norm, doubling=doubling or len(a) != len(b))


def test_blocks_join(monkeypatch: pytest.MonkeyPatch) -> None:
    chords = list(combinations(range(12), 3))
    whole = least_all(chords, chords, 1, doubling=True)
    monkeypatch.setattr(matrix, "_BLOCK", 1000)
    assert (least_all(chords, chords, 1, doubling=True) == whole).all()


def test_many_voices_do_not_overflow() -> None:
    """The largest totals: all notes of a long chord move a tritone."""
    for voices, doubling in product((3, 4, 7, 8, 21, 22, 42, 43), (False, True)):
        low, high = (0,) * voices, (6,) * voices
        if voices < 30 or not doubling:
            assert least_all([low], [high], 1, doubling=doubling)[0, 0] == 6 * voices
            assert least_all([low], [high], 2, doubling=doubling)[0, 0] == 36 * voices
            assert least_all([low], [high], math.inf, doubling=doubling)[0, 0] == 6


def test_no_chords() -> None:
    assert least_all([], [], 1, doubling=False).shape == (0, 0)
    assert least_all([(0, 4, 7)], [], 1, doubling=False).shape == (1, 0)


@given(st.lists(pitches, min_size=1, max_size=4), st.lists(pitches, min_size=1, max_size=4))
def test_arrays_of_chords_of_all_sizes_say_the_same(
    before: list[tuple[int, ...]], after: list[tuple[int, ...]]
) -> None:
    moved = pitch_semitones(before, after)
    assert moved.tolist() == [[fewest(a, b) for b in after] for a in before]
