"""A few points of a front, well spread, each with its reason."""

from __future__ import annotations

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
        "Choose it for the least voice movement",
        "Choose it as a compromise, 10 semitones and 80 mm more than the least",
        "Choose it for the least travel of the hand",
        "Choose it for the fewest added chords",
    ]


@given(st.lists(st.tuples(*[st.integers(0, 30)] * 3), min_size=1, max_size=30, unique=True))
def test_at_most_seven_are_chosen_each_with_a_sentence(triples: list[Triple]) -> None:
    found = Front(points(*triples)).choices()
    assert len(found) == min(7, len(triples))
    for column in range(3):
        least = min(triple[column] for triple in triples)
        assert any(point.values[column] == least for point in found)
    assert all(point.why.startswith("Choose it ") and point.why.endswith(".") for point in found)
