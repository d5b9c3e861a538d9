"""The front against brute force: every variant and every shape, measured anew."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from brute_arrangements import UnfitError, all_ways, pitches
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from small_tunes import tune_of, tunes

from harmonykit.arrange.choices import Triple
from harmonykit.arrange.costs import Shapes
from harmonykit.arrange.front import pareto_front, undominated
from harmonykit.arrange.measures import measure, values_of
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.shapes import playable
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.wishes import Demands, Wishes
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.leading.staircase import pair_semitones
from harmonykit.tune.tune import Tune

UKULELE, GUITAR = map(Instrument.named, ("ukulele", "guitar"))


def dominates(a: Triple, b: Triple) -> bool:
    return a != b and all(x <= y for x, y in zip(a, b, strict=True))


def every_triple(tune: Tune, limits: Limits, moves: list[str]) -> set[Triple]:
    """Return the measures of every arrangement there is."""
    found = set()
    for _, rows in all_ways(tune, UKULELE, limits, moves, "", Demands()):
        semitones = travel = put = 0
        goes_on = None
        for index, (part, shape) in enumerate(rows):
            (written,) = [
                c.chord for c in tune.changes if c.onset <= part.onset < c.onset + c.beats
            ]
            foreign = part.chord is not None and (
                written is None
                or set(part.chord.pcs) != set(written.pcs)
                or (part.chord.bass != written.bass and "/" in f"{part.chord}{written}")
            )
            put += foreign and part.chord != goes_on
            goes_on = part.chord if foreign else None
            before = rows[index - 1][1] if index else None
            if shape is None or before is None:
                continue
            semitones += pair_semitones(pitches(UKULELE, before), pitches(UKULELE, shape))
            travel += round(travel_mm(Voicing(UKULELE, before), Voicing(UKULELE, shape)))
        found.add((semitones, travel, int(put)))
    return found


pools: st.SearchStrategy[tuple[str, ...]] = st.sampled_from(
    [
        ("C6", "Dm7", "G7 C6", "A7 Dm7"),
        ("C6", "E7 Am", "F6", "N.C."),
        ("F", "Gb7 Fm", "C7 Db", "Bbm6"),
        ("Em7 Dm7", "G7 C6", "Gm6 A7"),
    ]
)
small = pools.flatmap(lambda phrases: tunes(phrases, meters=((4, 4), (3, 4)), bars=3))


@given(
    tune=small,
    max_fret=st.sampled_from((3, 4)),
    moves=st.lists(st.sampled_from(list(MOVES)), unique=True, max_size=3),
)
def test_the_front_is_complete(tune: Tune, max_fret: int, moves: list[str]) -> None:
    try:
        every = every_triple(tune, Limits(max_fret), moves)
    except UnfitError:
        assume(False)
    best = {a for a in every if not any(dominates(b, a) for b in every)}
    front = pareto_front(tune, UKULELE, moves, wishes=Wishes(limits=Limits(max_fret)))
    assert {point.values for point in front.points} == best
    assert len(front.points) == len(best) and not front.bounded and front.epsilon == (0, 0, 0)


@given(tune=small, most=st.integers(1, 12))
def test_a_bounded_front_lacks_nothing_better_than_it_says(tune: Tune, most: int) -> None:
    """For each arrangement that there is, one is found that is worse by epsilon at most."""
    moves = ["leading-tone diminished", "ascending walk", "tritone substitution"]
    whole = pareto_front(tune, UKULELE, moves, wishes=Wishes(limits=Limits(5)))
    front = pareto_front(tune, UKULELE, moves, most_labels=most, wishes=Wishes(limits=Limits(5)))
    assert front.bounded == any(front.epsilon)
    for point in whole.points:
        assert any(
            all(
                a <= b + e
                for a, b, e in zip(found.values, point.values, front.epsilon, strict=True)
            )
            for found in front.points
        )
    if not front.bounded:
        assert {p.values for p in front.points} == {p.values for p in whole.points}


def test_of_many_shapes_the_easiest_alone_are_looked_at() -> None:
    """One shape a chord leaves one way; each further shape can only better a point."""
    tune = tune_of("| Gm7 | C7 | Fmaj7 |")
    fronts = [pareto_front(tune, GUITAR, (), most_shapes=most).points for most in (1, 4, 16)]
    assert len(fronts[0]) == 1 < len(fronts[2])
    for few, more in pairwise(fronts):
        for one in few:
            assert any(
                all(a <= b for a, b in zip(two.values, one.values, strict=True)) for two in more
            )
    for point in fronts[2]:
        for step in point.arrangement.steps:
            shapes = playable(step.chord, GUITAR, Limits())
            # In a chord book's order, of the shapes that the search knows.
            hand = Limits()
            book = find_voicings(step.chord, GUITAR, hand.max_fret, limits=hand)
            booked = [shape for shape in book if shape in shapes]
            places = tuple(map(booked.index, shapes))
            own = [*Shapes(shapes, STYLES["usual"].weights, Limits(), step.chord, places).own]
            assert sum(cost < own[shapes.index(step.voicing)] for cost in own) < 16


def test_some_front_is_bounded() -> None:
    tune = tune_of("| Gm6 | Bb7 | Eb6 | D7 | Cm6 | F7 | Bb6 | D7 | Gm6 |")
    front = pareto_front(tune, UKULELE, most_labels=10)
    assert front.bounded and front.epsilon[0] > 0 and front.epsilon[1] > 0 == front.epsilon[2]


@given(tunes(bars=4))
@settings(max_examples=settings().max_examples // 2)
def test_a_point_is_what_its_arrangement_measures(tune: Tune) -> None:
    for point in pareto_front(tune, UKULELE, tuple(MOVES), wishes=Wishes(limits=Limits(5))).points:
        row = measure(point.arrangement)
        assert point.values == (row.semitones, row.travel_mm, row.added)
        assert point.values == values_of(point.arrangement)


def test_it_is_the_same_each_time_and_can_be_stopped() -> None:
    tune = tune_of("| Gm6 | Bb7 | Eb6 | D7 |")
    assert pareto_front(tune, UKULELE) == pareto_front(tune, UKULELE)
    told: list[tuple[int, int]] = []

    def stop(done: int, total: int) -> None:
        told.append((done, total))
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        pareto_front(tune, UKULELE, progress=stop)
    assert [done for done, _ in told] == [1, 2] and told[0][1] > 2


@given(st.lists(st.tuples(st.integers(0, 2), *[st.integers(0, 8)] * 3), min_size=1, max_size=40))
def test_undominated_rows_by_comparing_all_pairs(rows: list[tuple[int, int, int, int]]) -> None:
    kept = undominated(np.array(rows)).tolist()
    for index, row in enumerate(rows):
        beaten = any(
            other[0] == row[0]
            and all(a <= b for a, b in zip(other[1:], row[1:], strict=True))
            and (other != row or place < index)
            for place, other in enumerate(rows)
        )
        assert (index in kept) == (not beaten)
