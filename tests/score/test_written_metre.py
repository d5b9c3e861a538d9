"""Values in a metre: worked examples of elementary notation, and what must hold for all of them."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

from harmonykit.score.written import cut, metre_of, values_of
from harmonykit.tune.bar import bar_length

METERS = ((2, 4), (3, 4), (4, 4), (2, 2), (5, 4), (6, 4), (3, 8), (6, 8), (9, 8), (12, 8), (7, 8))


def lengths(meter: tuple[int, int], at: str, beats: str, rest: bool = False) -> list[str]:
    return [str(length) for length in cut(Q(at), Q(beats), metre_of(meter), rest=rest)]


@pytest.mark.parametrize(
    ("meter", "at", "beats", "note", "rest"),
    [
        # Common practice, no source: what each player is shown to count by.
        ((4, 4), "0", "3", ["3"], ["2", "1"]),
        ((4, 4), "1", "2", ["2"], ["1", "1"]),  # quarter, half, quarter
        ((4, 4), "1", "3", ["3"], ["1", "2"]),
        ((4, 4), "1/2", "1", ["1"], ["1/2", "1/2"]),  # eighth, quarter, eighth
        ((4, 4), "3/2", "1", ["1/2", "1/2"], ["1/2", "1/2"]),  # the middle is seen
        ((4, 4), "3/2", "3/2", ["1/2", "1"], ["1/2", "1"]),
        ((4, 4), "1/2", "2", ["3/2", "1/2"], ["1/2", "1", "1/2"]),
        ((4, 4), "0", "5/2", ["2", "1/2"], ["2", "1/2"]),
        ((4, 4), "1/2", "3/2", ["3/2"], ["1/2", "1"]),
        ((4, 4), "3/4", "1/2", ["1/4", "1/4"], ["1/4", "1/4"]),
        ((2, 2), "0", "2", ["2"], ["2"]),
        ((3, 4), "0", "2", ["2"], ["1", "1"]),
        ((3, 4), "1/2", "2", ["1/2", "3/2"], ["1/2", "1", "1/2"]),
        ((6, 8), "0", "3/2", ["3/2"], ["3/2"]),
        ((6, 8), "0", "2", ["3/2", "1/2"], ["3/2", "1/2"]),  # beats of three eighths
        ((6, 8), "0", "1", ["1"], ["1"]),
        ((6, 8), "1/2", "1", ["1"], ["1/2", "1/2"]),
        ((6, 8), "1", "1", ["1/2", "1/2"], ["1/2", "1/2"]),
        ((9, 8), "0", "9/2", ["3", "3/2"], ["3/2", "3/2", "3/2"]),
        ((12, 8), "3/2", "3", ["3"], ["3/2", "3/2"]),
        # Triplets: one value is one note; what has none is cut where beats start.
        ((4, 4), "2/3", "2/3", ["2/3"], ["2/3"]),
        ((4, 4), "1/3", "5/3", ["2/3", "1"], ["2/3", "1"]),
        ((4, 4), "0", "5/3", ["1", "2/3"], ["1", "2/3"]),
    ],
)
def test_notes_and_rests_are_cut_as_players_read(meter, at, beats, note, rest):
    assert lengths(meter, at, beats) == note
    assert lengths(meter, at, beats, rest=True) == rest


@pytest.mark.parametrize("meter", METERS)
@pytest.mark.parametrize("rest", [False, True])
def test_whatever_is_cut_is_whole_and_each_part_is_one_value(meter, rest):
    whole, step = bar_length(meter), Q(1, 4)
    for start in range(int(whole / step)):
        for count in range(1, int(whole / step) - start + 1):
            found = list(cut(start * step, count * step, metre_of(meter), rest=rest))
            assert sum(found) == count * step
            assert all(len(list(values_of(length))) == 1 for length in found)


@pytest.mark.parametrize("at", [Q(n, 4) for n in range(8)])
def test_no_note_of_four_four_hides_the_middle_unless_it_is_on_a_beat(at):
    for count in range(1, int((4 - at) * 4) + 1):
        now = at
        for length in cut(at, Q(count, 4), metre_of((4, 4)), rest=False):
            if now < 2 < now + length:
                assert now.denominator == 1 and (now + length).denominator == 1
            now += length


@pytest.mark.parametrize("at", [Q(n, 4) for n in range(6)])
def test_no_value_of_six_eight_hides_the_second_beat_but_the_whole_measure(at):
    for rest in (False, True):
        for count in range(1, int((3 - at) * 4) + 1):
            now = at
            for length in cut(at, Q(count, 4), metre_of((6, 8)), rest=rest):
                assert not now < Q(3, 2) < now + length or (now, length) == (0, 3)
                now += length


def test_each_halving_is_a_grade_weaker_down_to_the_shortest_value():
    four = metre_of((4, 4))
    assert [four.grade(Q(4, 2**n)) for n in range(9)] == [0, 1, 2, 3, 4, 5, 6, 7, 8]
    # Shorter than a 256th, and a third of a beat, are no places.
    assert four.grade(Q(1, 128)) == four.grade(Q(1, 3)) > 8
    # The eighths of 6/8 are two grades weaker than its beats.
    assert [metre_of((6, 8)).grade(Q(n, 2)) for n in range(4)] == [0, 3, 3, 1]


def test_irregular_metres_are_twos_and_at_last_a_three():
    assert [metre_of((n, 8)).beats for n in (4, 5, 7)] == [(0, 1), (0, 1), (0, 1, 2)]
    assert metre_of((6, 4)).groups == (3,) and metre_of((5, 4)).groups == ()
