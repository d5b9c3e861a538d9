"""Rarity and near misses, against counts by brute force."""

from __future__ import annotations

from harmonykit.ideas.laws import Law, called, near_miss, rarity, sets_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.sets.setclass import set_classes
from harmonykit.words.numbers import join_words, number

SYMMETRY = Law(lambda pcs: pcs.symmetry[0], lambda name, count: f"{name}: {count}")


def test_rarity_counts_classes() -> None:
    """Rahn 1980: 4-28 and its complement and no other class are fixed by four transpositions."""
    assert rarity(SYMMETRY, PcSet.of(0, 3, 6, 9)) == 2
    wanted = sum(each.symmetry[0] == 1 for each in set_classes())
    assert rarity(SYMMETRY, PcSet.of(0, 4, 7)) == wanted


def test_a_near_miss_is_false_of_what_is_said() -> None:
    for suffix in ("dim7", "7b5"):
        pcs = Chord.of("C", suffix).pcs
        name, count = near_miss(SYMMETRY, pcs).split(": ")
        other = Chord.parse(name.replace("♭", "b").replace("♯", "#").replace("°", "dim"))
        assert int(count) == other.pcs.symmetry[0] != pcs.symmetry[0]


def test_transpositions_of_a_kind() -> None:
    """By arithmetic: twelve, and fewer where a transposition changes nothing."""
    assert {s: len(sets_of(s)) for s in ("7", "dim7", "+", "7b5")} == {
        "7": 12, "dim7": 3, "+": 4, "7b5": 6,
    }  # fmt: skip


def test_words() -> None:
    assert (called("", 1), called("m7b5", 2)) == ("major triad", "half-diminished sevenths")
    assert [number(n) for n in (0, 1, 12, 13)] == ["no", "one", "twelve", "13"]
    assert [join_words(row) for row in ([], ["A"], ["A", "B"], ["A", "B", "C"])] == [
        "", "A", "A and B", "A, B and C",
    ]  # fmt: skip
