"""The matrix of distances, against the published table of dominants of a diminished seventh."""

from __future__ import annotations

import itertools

import pytest

from harmonykit.draw.plots.matrix import distances, draw_matrix, neighbours_together
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord


def chords(text: str) -> list[Chord]:
    return [Chord.parse(name) for name in text.split()]


def test_the_diminished_seventh_is_a_semitone_from_its_four_dominants() -> None:
    """B diminished: Bb7, Db7, E7 and G7 (Cohn, Audacious Euphony, ch. 7)."""
    table = distances(chords("Bdim7 Bb7 Db7 E7 G7"))
    assert table[0] == [0, 1, 1, 1, 1]
    # A tritone or a minor third apart, two semitones (by arithmetic; parsimony graph).
    assert {table[a][b] for a in range(1, 5) for b in range(1, 5) if a != b} == {2}


def test_triads_and_sevenths_are_compared_with_a_note_doubled() -> None:
    # C E G to C E G Bb: one G (or C) is doubled and goes two (or three) semitones to B flat.
    assert distances(chords("C C7"))[0][1] == 2


@pytest.mark.parametrize("names", ["Gm6 Bb7 Eb6 D7 C#dim7", "G7 C6", "Bbm6 Gm6 F6 A7 Eb7 Dm7"])
def test_the_order_is_as_short_as_the_best_of_all_orders(names: str) -> None:
    table = distances(chords(names))
    order = neighbours_together(table)
    assert sorted(order) == list(range(len(table)))

    def length(row: tuple[int, ...] | list[int]) -> int:
        return sum(table[a][b] for a, b in itertools.pairwise(row))

    best = min(length(row) for row in itertools.permutations(range(len(table))))
    assert length(order) == best


def test_the_picture_has_the_lower_triangle_alone() -> None:
    figure = draw_matrix(chords("C6 A7 F7 D7"))
    for name in ("C6", "A7", "F7", "D7"):
        assert figure.sheet.texts.count(name) == 1
    numbers = [figure.sheet.texts.count(str(n)) for n in range(1, 8)]
    assert sum(numbers) == 6 + 3  # six pairs and the key
    assert "1 between: A seven and C six" in figure.alt


def test_one_chord_has_no_matrix() -> None:
    with pytest.raises(HarmonyError, match="1 chords to compare"):
        draw_matrix(chords("C6"))
