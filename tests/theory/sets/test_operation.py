"""Operations on all twelve notes: the group, and what they fix and keep."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.theory.sets.operation import (
    Operation,
    operations,
)
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.sets.setclass import set_classes

sets = st.builds(PcSet, st.integers(0, 4095))
any_operation = st.sampled_from(operations(multiplications=True))


class TestGroup:
    """The 24 Tn and TnI are a group of moves of sets; so are all 48."""

    @pytest.mark.parametrize("all_48", [False, True])
    def test_products_and_inverses_stay_inside(self, all_48: bool) -> None:
        group = operations(multiplications=all_48)
        assert len(set(group)) == (48 if all_48 else 24)
        for one, other in product(group, group):
            assert one.after(other) in group
        for each in group:
            assert each.inverse in group
            assert each.after(each.inverse) == each.inverse.after(each) == Operation(0)

    @given(any_operation, any_operation, sets)
    def test_one_after_another_is_their_product(
        self, one: Operation, other: Operation, a: PcSet
    ) -> None:
        assert one.after(other)(a) == one(other(a))
        assert one.inverse(one(a)) == a

    @given(any_operation, any_operation, any_operation)
    def test_association(self, a: Operation, b: Operation, c: Operation) -> None:
        assert a.after(b).after(c) == a.after(b.after(c))

    @given(sets, st.integers(0, 11))
    def test_they_are_the_moves_of_sets(self, a: PcSet, n: int) -> None:
        assert Operation(n)(a) == a.transpose(n)
        assert Operation(n, 11)(a) == a.invert(n)
        assert Operation(0, 5)(a) == a.multiply(5)


def test_names_read_back() -> None:
    for each in operations(multiplications=True):
        assert Operation.parse(str(each)) == each
        assert eval(repr(each), {"Operation": Operation}) == each
    assert Operation.parse("TEI") == Operation(11, 11)


@pytest.mark.parametrize("text", ["T12", "I", "T5J", "", "5"])
def test_what_names_no_operation_is_refused(text: str) -> None:
    with pytest.raises(HarmonyError, match="is not an operation"):
        Operation.parse(text)


def test_what_is_no_operation_is_refused() -> None:
    with pytest.raises(HarmonyError, match="(not an|unknown) operation"):
        Operation(0, 2)
    with pytest.raises(HarmonyError, match="(not an|unknown) operation"):
        Operation(12)


def test_the_tutorials_worked_examples() -> None:
    """Mount Allison University, "Pitch-class set tutorial", page 11."""
    example = PcSet.of(3, 5, 6, 9)
    assert example.transpose(5) == PcSet.of(8, 10, 11, 2)
    assert example.invert(1) == PcSet.of(4, 7, 8, 10)
    four = PcSet.of(2, 3, 8, 9)
    fixed = [each.name for each in operations() if each(four) == four]
    assert fixed == ["T0", "T6", "T5I", "T11I"]
    assert example.transpose(3) == PcSet.of(6, 8, 9, 0)
    assert example & Operation.parse("T3")(example) == PcSet.of(6, 9)
    assert example & Operation.parse("T10I")(example) == PcSet.of(5)


def test_invariances_are_those_of_music21() -> None:
    """music21's table counts the Tn, TnI, TnM5 and TnM7 that fix each class."""
    from music21.chord import tables

    for each in set_classes()[1:]:
        ordinal = int(each.forte_name.replace("Z", "").split("-")[1])
        theirs = tables.FORTE[each.size][ordinal][2]
        first = PcSet.of(*each.prime_form)
        fixed = [op for op in operations(multiplications=True) if op(first) == first]
        assert tuple(sum(op.factor == f for op in fixed) for f in (1, 11, 5, 7)) == theirs[:4]


def kept(a: PcSet, factor: int) -> tuple[int, ...]:
    """Return how many notes a set keeps under the twelve operations of a factor."""
    return tuple(len(a & Operation(n, factor)(a)) for n in range(12))


class TestCommonTones:
    """As many notes stay under Tn as there are pairs n apart; under T6 twice (Straus 2016)."""

    @given(sets)
    def test_under_transposition(self, a: PcSet) -> None:
        one, two, three, four, five, six = a.interval_vector
        up = (one, two, three, four, five)
        assert kept(a, 1) == (len(a), *up, 2 * six, *reversed(up))

    @given(sets)
    def test_under_inversion_they_count_sums(self, a: PcSet) -> None:
        sums = [(x + y) % 12 for x, y in product(a, a)]
        assert kept(a, 11) == tuple(sums.count(n) for n in range(12))

    def test_the_tritone_is_doubled(self) -> None:
        """Open Music Theory, "Common tones under transposition": 016 keeps two notes at T6."""
        assert kept(PcSet.of(0, 1, 6), 1)[6] == 2
        assert PcSet.of(0, 1, 6).interval_vector[5] == 1


def test_the_chromatic_hexachord_becomes_fourths() -> None:
    """M5 and M7 turn 6-1 into 6-32, the circle of fifths (Rahn 1980; from memory)."""
    for factor in (5, 7):
        assert PcSet.parse("012345").multiply(factor).forte_name == "6-32"
