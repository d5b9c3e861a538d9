"""Sets and distances against general libraries: ratios within one run, so that machines compare."""

from __future__ import annotations

import math
import random
import statistics
import time
from collections.abc import Callable
from itertools import combinations

import numpy as np
import pytest
from measured import measured

from harmonykit.theory.leading.matching import SIZES
from harmonykit.theory.leading.neighbours import by_distance
from harmonykit.theory.leading.voiceleading import distance_matrix
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.sets.settable import set_table

TETRACHORDS = [PcSet.of(*notes) for notes in combinations(range(12), 4)]


def seconds(work: Callable[[], object], times: int = 9) -> float:
    """Return the median time of a piece of work."""
    spans = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        spans.append(time.perf_counter() - begun)
    return statistics.median(spans)


def report(
    what: str, ours: float, theirs: float, by: str = "music21", least: float | None = None
) -> float:
    """Return how many times as fast ours is."""
    return measured(what, ours, beside=(by, theirs), least=least).figure


def test_all_sets_are_classified_5000_times_as_fast_as_by_music21() -> None:
    from music21.chord import Chord

    def answer(number: int) -> tuple[object, ...]:
        chord = Chord([note for note in range(12) if number >> note & 1])
        return chord.normalOrder, chord.primeForm, chord.intervalVector, chord.forteClass

    chosen = random.Random(4096).sample(range(1, 4096), 200)
    answer(chosen[0])
    theirs = seconds(lambda: [answer(number) for number in chosen], 1) / 200 * 4096
    ours = seconds(lambda: set_table.__wrapped__())
    assert report("all 4,096 sets, the table made anew", ours, theirs, least=5000) >= 5000

    def one_by_one() -> None:
        for number in range(4096):
            pcs = PcSet(number)
            assert pcs.normal_order() is not None
            assert (pcs.prime_form(), pcs.interval_vector, pcs.forte_name) is not None

    report("the same, asked set by set", seconds(one_by_one, 3), theirs)


@pytest.fixture(scope="module")
def scipys() -> Callable[[int], float]:
    """Return the time of all assignments for a power of the costs, from 2,000 pairs."""
    from scipy.optimize import linear_sum_assignment

    chords = [np.array(list(chord)) for chord in TETRACHORDS]
    draw = random.Random(495)
    pairs = [(draw.choice(chords), draw.choice(chords)) for _ in range(2000)]

    def measured(power: int) -> float:
        price = np.array(SIZES) ** power

        def assign() -> None:
            for a, b in pairs:
                costs = price[a[:, None], b]
                costs[linear_sum_assignment(costs)].sum()

        assign()
        return seconds(assign, 3) / 2000 * len(chords) ** 2

    return measured


def test_a_matrix_of_distances_is_100_times_as_fast_as_by_scipy(
    scipys: Callable[[int], float],
) -> None:
    distance_matrix(TETRACHORDS)
    ours = seconds(lambda: distance_matrix(TETRACHORDS))
    assert report("495 x 495 distances, norm 1", ours, scipys(1), "scipy", 100) >= 100


def test_other_matrices(scipys: Callable[[int], float]) -> None:
    """No bound was set for these; the assignment does not double, so it is only a yardstick."""
    for norm, doubling, power in ((2, False, 2), (1, True, 1), (2, True, 2), (math.inf, True, 1)):
        ours = seconds(lambda n=norm, d=doubling: distance_matrix(TETRACHORDS, n, doubling=d), 5)
        extra = " with doubling" if doubling else ""
        report(f"495 x 495 distances, norm {norm}{extra}", ours, scipys(power), "scipy")


def test_edges_against_asking_the_matrix() -> None:
    """The 1,440 edges of single semitones, found by moving notes, against a whole matrix."""
    ours = seconds(lambda: [list(by_distance(chord, 1)) for chord in TETRACHORDS])
    theirs = seconds(lambda: np.argwhere(np.triu(distance_matrix(TETRACHORDS) == 1)))
    report("1,440 edges of single semitones", ours, theirs, "our own matrix")
    # Each edge is found from both of its ends.
    assert sum(len(list(by_distance(chord, 1))) for chord in TETRACHORDS) == 2 * 1440
