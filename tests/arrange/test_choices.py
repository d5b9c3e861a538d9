"""A few points of a front, well spread, each with its reason."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st
from small_tunes import tune_of

from harmonykit.arrange.choices import Front, Point, Triple, choose
from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE = Instrument.named("ukulele")


def points(*triples: Triple) -> tuple[Point, ...]:
    (way,) = reharmonise(tune_of("| C6 |"), UKULELE, k=1)
    return tuple(Point(way, triple) for triple in triples)


def test_choices_hold_the_least_of_each_and_spread() -> None:
    found = choose(points((0, 90, 9), (10, 80, 5), (11, 79, 5), (50, 0, 4), (90, 60, 0)), most=4)
    assert [point.values for point in found] == [(0, 90, 9), (10, 80, 5), (50, 0, 4), (90, 60, 0)]
    assert [point.why.split(":")[0] for point in found] == [
        "Least voice movement",
        "Least voice movement with at most 5 added chords",
        "Least travel of the hand",
        "Fewest added chords",
    ]


@given(st.lists(st.tuples(*[st.integers(0, 30)] * 3), min_size=1, max_size=30, unique=True))
def test_at_most_seven_are_chosen_each_with_a_sentence(triples: list[Triple]) -> None:
    found = Front(points(*triples)).choices()
    assert len(found) == min(7, len(triples))
    for column in range(3):
        least = min(triple[column] for triple in triples)
        assert any(point.values[column] == least for point in found)
    assert all(point.why[0].isupper() and point.why.endswith(".") for point in found)


LEAST = {
    "least voice movement": 0,
    "least travel of the hand": 1,
    "fewest added chords": 2,
}
BOUND = re.compile(r"(?:(\d+) semitones?)|(?:(\d+) mm)|(?:(\d+|no) added chords?)")


def claimed(aim: str) -> tuple[int, dict[int, int]]:
    """Read a reason: the measure that is the least, and the bounds within which it is."""
    head, _, within = aim.partition(" with ")
    bounds = {}
    for found in BOUND.finditer(within):
        column = next(n for n, text in enumerate(found.groups()) if text)
        bounds[column] = int(found[column + 1].replace("no", "0"))
    return LEAST[head], bounds


def beats(one: Triple, other: Triple) -> bool:
    return one != other and all(a <= b for a, b in zip(one, other, strict=True))


@given(st.lists(st.tuples(*[st.integers(0, 12)] * 3), min_size=1, max_size=60, unique=True))
def test_no_two_reasons_are_the_same_and_each_is_true_of_the_whole_front(
    triples: list[Triple],
) -> None:
    """By brute force over every pair, on fronts out of random points."""
    front = [one for one in triples if not any(beats(other, one) for other in triples)]
    found = Front(points(*front)).choices()
    assert len({point.aim for point in found}) == len(found)
    for point in found:
        column, bounds = claimed(point.aim)
        inside = [v for v in front if all(v[at] <= most for at, most in bounds.items())]
        assert point.values in inside
        assert point.values[column] == min(values[column] for values in inside)


def test_the_nearest_other_is_told_by_its_differences() -> None:
    """By hand."""
    first, middle, last = choose(points((10, 90, 3), (12, 80, 3), (40, 20, 0)))
    assert first.why.endswith("The nearest other choice has 10 mm less and 2 semitones more.")
    assert middle.why.endswith("The nearest other choice has 2 semitones fewer and 10 mm more.")
    assert last.why == (
        "Least travel of the hand and fewest added chords: 40 semitones, 20 mm, "
        "0 added chords. The nearest other choice has 28 semitones fewer, 60 mm more and 3 added "
        "chords more."
    )
