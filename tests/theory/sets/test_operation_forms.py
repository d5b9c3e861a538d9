"""The forms and subsets of a set: how many there are, and what lies within what."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from harmonykit.theory.sets.operation import (
    forms,
    forms_within,
    operations,
    subsets,
    transpositions,
)
from harmonykit.theory.sets.pcset import PcSet

sets = st.builds(PcSet, st.integers(0, 4095))
C_MAJOR = PcSet.of(0, 2, 4, 5, 7, 9, 11)


class TestForms:
    """There are 24 forms over the number of operations that fix the set."""

    @given(sets)
    def test_counts(self, a: PcSet) -> None:
        assert len(forms(a)) == 24 // sum(a.symmetry)
        assert len(transpositions(a)) == 12 // a.symmetry[0]
        assert set(transpositions(a)) <= set(forms(a))
        assert sum(each(a) == a for each in operations()) == sum(a.symmetry)

    @given(sets, sets)
    def test_forms_within(self, a: PcSet, b: PcSet) -> None:
        found = forms_within(a, b)
        assert all(each <= b and each.forte_name == a.forte_name for each in found)
        everything = {a.transpose(n) for n in range(12)} | {a.invert(n) for n in range(12)}
        assert set(found) == {each for each in everything if each <= b}

    @given(sets, st.integers(0, 12))
    def test_subsets(self, a: PcSet, size: int) -> None:
        assert [tuple(each) for each in subsets(a, size)] == list(combinations(a, size))


def test_what_lies_in_the_major_scale() -> None:
    """Common knowledge: three major, three minor triads, one dominant seventh, no dim7."""
    assert len(forms_within(PcSet.of(0, 4, 7), C_MAJOR, inversions=False)) == 3
    assert len(forms_within(PcSet.of(0, 3, 7), C_MAJOR, inversions=False)) == 3
    assert forms_within(PcSet.of(0, 4, 7, 10), C_MAJOR, inversions=False) == (
        PcSet.of(2, 5, 7, 11),
    )
    assert forms_within(PcSet.of(0, 3, 6, 9), C_MAJOR) == ()
