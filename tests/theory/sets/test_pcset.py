"""Pitch-class sets as values: what they refuse, their algebra, and the textbooks' examples."""

from __future__ import annotations

import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.given import as_pcset
from harmonykit.theory.sets.operation import operations
from harmonykit.theory.sets.pcset import PcSet, pitch_class

sets = st.builds(PcSet, st.integers(0, 4095))
amounts = st.integers(-30, 30)


def test_a_set_is_made_of_whole_numbers_mod_twelve() -> None:
    assert PcSet.of(0, 12, 67, -1) == PcSet.of(11, 7, 0)
    assert PcSet.of(np.int64(4), 7) == PcSet.of(4, 7)
    assert PcSet.from_mask(np.uint16(145)) == PcSet.of(0, 4, 7)
    assert np.int64(16) in PcSet.of(4, 7)
    assert PcSet.of() == PcSet.from_mask(0)
    assert len(PcSet.from_mask(4095)) == 12


@pytest.mark.parametrize("wrong", [0.5, "C", None, True, (0, 4, 7)])
def test_what_is_no_pitch_class_is_refused(wrong: object) -> None:
    with pytest.raises(HarmonyError, match="is not a pitch class"):
        PcSet.of(wrong)  # type: ignore[arg-type]
    with pytest.raises(HarmonyError, match="is not a pitch class"):
        PcSet.of(0, 4).transpose(wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize("wrong", [-1, 4096, 2.0, None])
def test_what_is_no_set_is_refused(wrong: object) -> None:
    for make in (PcSet, PcSet.from_mask):
        with pytest.raises(HarmonyError, match="not a pitch-class set"):
            make(wrong)  # type: ignore[arg-type]


def test_a_set_that_cannot_be_read_shows_where() -> None:
    with pytest.raises(HarmonyError, match=r"column 3(.|\n)*03X\n(.|\n)*  \^"):
        PcSet.parse("03X")


def test_an_unknown_rule_is_refused() -> None:
    with pytest.raises(HarmonyError, match="'Straus' is not a known rule"):
        PcSet.of(0).normal_order("Straus")  # type: ignore[arg-type]


@pytest.mark.parametrize("factor", [0, 2, 3, 6, 9, 10])
def test_a_factor_that_merges_notes_is_refused(factor: int) -> None:
    with pytest.raises(HarmonyError, match="would make two notes one"):
        PcSet.of(0, 1).multiply(factor)


def test_only_what_has_pitch_classes_counts_as_a_set() -> None:
    class Drone:
        pcs = PcSet.of(0, 7)

    assert as_pcset(Drone()) == PcSet.of(0, 7)
    with pytest.raises(HarmonyError, match="7 was given"):
        as_pcset(7)  # type: ignore[arg-type]


def test_foreign_things_are_unequal_and_do_not_combine() -> None:
    assert PcSet.of(0) != 1
    assert PcSet.of(0) != frozenset({0})
    for combine in (PcSet.__or__, PcSet.__and__, PcSet.__sub__, PcSet.__xor__, PcSet.__le__):
        assert combine(PcSet.of(0), {0}) is NotImplemented
    assert "C" not in PcSet.of(0)
    assert pitch_class(12) in PcSet.of(0)


class TestAlgebra:
    """Sets of pitch classes behave as Python's own sets of the same numbers."""

    @given(sets, sets)
    def test_operators(self, a: PcSet, b: PcSet) -> None:
        one, other = set(a), set(b)
        assert set(a | b) == one | other
        assert set(a & b) == one & other
        assert set(a - b) == one - other
        assert set(a ^ b) == one ^ other
        assert (a <= b, a < b, a >= b, a > b) == (
            one <= other,
            one < other,
            one >= other,
            one > other,
        )

    @given(sets)
    def test_a_set_lists_its_notes_upward(self, a: PcSet) -> None:
        assert list(a) == sorted(a)
        assert len(a) == len(list(a))
        assert PcSet.of(*a) == a
        assert all((note in a) == (note in set(a)) for note in range(12))

    @given(sets)
    def test_representations_read_back(self, a: PcSet) -> None:
        assert eval(repr(a), {"PcSet": PcSet}) == a
        assert PcSet.parse(str(a)) == a
        assert pickle.loads(pickle.dumps(a)) == a
        assert hash(PcSet.of(*a)) == hash(a)

    @given(sets, amounts)
    def test_moves_are_what_they_say_note_by_note(self, a: PcSet, n: int) -> None:
        assert set(a.transpose(n)) == {(note + n) % 12 for note in a}
        assert set(a.invert(n)) == {(n - note) % 12 for note in a}
        assert set(a.multiply(5)) == {5 * note % 12 for note in a}
        assert set(a.multiply(7)) == {7 * note % 12 for note in a}
        assert set(a.complement) == set(range(12)) - set(a)


class TestClasses:
    """What a set's class says does not change with transposition or inversion."""

    @given(sets, amounts)
    def test_transposition(self, a: PcSet, n: int) -> None:
        moved = a.transpose(n)
        assert moved.tn_name == a.tn_name
        for rule in ("forte", "rahn"):
            assert moved.normal_form(rule) == a.normal_form(rule)

    @given(sets, amounts)
    def test_inversion(self, a: PcSet, n: int) -> None:
        mirrored = a.invert(n)
        for name in ("forte_name", "interval_vector", "symmetry"):
            assert getattr(mirrored, name) == getattr(a, name)
        assert mirrored.prime_form() == a.prime_form()
        assert (mirrored.tn_name == a.tn_name) == (a.symmetry[1] > 0)

    @given(sets)
    def test_a_normal_order_holds_the_notes_within_the_least_span(self, a: PcSet) -> None:
        for rule in ("forte", "rahn"):
            order = a.normal_order(rule)
            assert PcSet.of(*order) == a
            if order:
                span = (order[-1] - order[0]) % 12
                assert all((low - high) % 12 <= 12 - span for low, high in _neighbours(a))

    @given(sets)
    def test_the_complement_vector_theorem(self, a: PcSet) -> None:
        """Open Music Theory, "Complements": 12 - 2n more of each interval, half that of ic 6."""
        more = 12 - 2 * len(a)
        added = [more] * 5 + [more // 2]
        expected = tuple(x + y for x, y in zip(a.interval_vector, added, strict=True))
        assert a.complement.interval_vector == expected

    @given(sets)
    def test_multiplication_exchanges_semitones_and_fourths(self, a: PcSet) -> None:
        """M5 and M7 swap the first and the fifth entry of the vector (Rahn 1980; from memory)."""
        one, two, three, four, five, six = a.interval_vector
        for factor in (5, 7):
            assert a.multiply(factor).interval_vector == (five, two, three, four, one, six)


def _neighbours(a: PcSet) -> list[tuple[int, int]]:
    notes = list(a)
    return list(zip(notes[1:] + notes[:1], notes, strict=True)) if len(notes) > 1 else []


# Forte 1973 and Rahn 1980 as listed in "List of set classes", and Wikipedia, "Diminished seventh
# chord" (4-28); the sets are those of common chords and scales.
@pytest.mark.parametrize(
    ("notes", "tn_name", "vector", "symmetry"),
    [
        ("0369", "4-28", (0, 0, 4, 0, 0, 2), (4, 4)),
        ("047T", "4-27B", (0, 1, 2, 1, 1, 1), (1, 0)),
        ("036T", "4-27A", (0, 1, 2, 1, 1, 1), (1, 0)),
        ("037T", "4-26", (0, 1, 2, 1, 2, 0), (1, 1)),
        ("0479", "4-26", (0, 1, 2, 1, 2, 0), (1, 1)),
        ("046T", "4-25", (0, 2, 0, 2, 0, 2), (2, 2)),
        ("0134679T", "8-28", (4, 4, 8, 4, 4, 4), (4, 4)),
        ("013679", "6-30A", (2, 2, 4, 2, 2, 3), (2, 0)),
        ("024579E", "7-35", (2, 5, 4, 3, 6, 1), (1, 1)),
        ("02468T", "6-35", (0, 6, 0, 6, 0, 3), (6, 6)),
        ("", "0-1", (0, 0, 0, 0, 0, 0), (12, 12)),
        ("0123456789TE", "12-1", (12, 12, 12, 12, 12, 6), (12, 12)),
    ],
)
def test_named_sets(
    notes: str, tn_name: str, vector: tuple[int, ...], symmetry: tuple[int, int]
) -> None:
    pcs = PcSet.parse(notes)
    assert (pcs.tn_name, pcs.interval_vector, pcs.symmetry) == (tn_name, vector, symmetry)


def test_the_normal_order_of_b_g_d_and_e_flat() -> None:
    """A worked example: the order begins on B, and wraps round the octave."""
    assert PcSet.of(11, 7, 2, 3).normal_order() == (11, 2, 3, 7)


def test_a_symmetrical_set_begins_on_its_least_note() -> None:
    assert PcSet.of(1, 4, 7, 10).normal_order() == (1, 4, 7, 10)
    assert PcSet.of(3, 7, 11).normal_order("rahn") == (3, 7, 11)
    assert PcSet.of().normal_order() == ()
    assert PcSet.of(5).normal_order() == (5,)


def test_the_five_eight_note_sets_row_by_row() -> None:
    for row in rows("eightnote_named"):
        pcs = PcSet.of(*numbers(row["pcs"]))
        assert pcs.tn_name == row["forte"]
        assert pcs.interval_vector == numbers(row["icv"])
        assert pcs.symmetry == (int(row["tn_sym"]), int(row["tni_sym"]))
        axes = [each.name for each in operations()[12:] if each(pcs) == pcs]
        assert axes == [axis for axis in row["axes_I_n"].split(";") if axis != "-"]
        assert pcs.complement == PcSet.of(*numbers(row["complement"]))
        assert pcs.complement.tn_name == row["complement_forte"]
        chord = PcSet.of(*numbers(row["chord"]))
        assert chord.tn_name == row["chord_forte"]
        assert chord | PcSet.of(*numbers(row["dim7"])) == pcs
        assert (pcs.complement == chord.transpose(6)) == (row["complement_is_T6_of_chord"] == "1")
        assert len({pcs.transpose(n) for n in range(12)}) == int(row["transpositions"])
