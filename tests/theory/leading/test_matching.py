"""The exact methods against brute force and scipy's assignment, in one fixture."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from itertools import combinations, combinations_with_replacement, permutations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.theory.leading import matching
from harmonykit.theory.leading.matrix import least_all

Notes = tuple[int, ...]
Exact = Callable[[Notes, Notes, float, bool], int]

NORMS = [1, 2, math.inf]
chords = st.lists(st.integers(0, 11), min_size=1, max_size=4).map(lambda c: tuple(sorted(c)))


def size(x: int, y: int) -> int:
    return min((y - x) % 12, (x - y) % 12)


def measure(sizes: Iterable[int], norm: float) -> int:
    sizes = list(sizes)
    if norm == math.inf:
        return max(sizes)
    return sum(s**2 for s in sizes) if norm == 2 else sum(sizes)


def covers(a: Notes, b: Notes) -> Iterable[list[tuple[int, int]]]:
    """Give every set of pairs in which each note of both chords stands."""
    pairs = list(product(range(len(a)), range(len(b))))
    for count in range(max(len(a), len(b)), len(a) + len(b)):
        for chosen in combinations(pairs, count):
            used_a, used_b = {i for i, _ in chosen}, {j for _, j in chosen}
            if len(used_a) == len(a) and len(used_b) == len(b):
                yield list(chosen)


def brute_force(a: Notes, b: Notes, norm: float, doubling: bool) -> int:
    if doubling:
        return min(measure((size(a[i], b[j]) for i, j in c), norm) for c in covers(a, b))
    return min(measure(map(size, a, turned), norm) for turned in permutations(b))


def by_scipy(a: Notes, b: Notes, norm: float, doubling: bool) -> int:
    """Solve the assignment; with doubling, the one that an edge cover turns into.

    Each note starts at its cheapest pair; two notes that share a pair save what both cheapest
    pairs cost beyond it.  For the largest move, try the bounds from below.
    """
    from scipy.optimize import linear_sum_assignment

    costs = np.array([[size(x, y) for y in b] for x in a])
    if norm == math.inf:
        return next(bound for bound in range(7) if _within(costs, bound, doubling))
    costs = costs**norm
    if not doubling:
        return int(costs[linear_sum_assignment(costs)].sum())
    here, there = costs.min(axis=1), costs.min(axis=0)
    saved = np.minimum(0, costs - here[:, None] - there[None, :])
    return int(here.sum() + there.sum() + saved[linear_sum_assignment(saved)].sum())


def _within(costs: np.ndarray, bound: int, doubling: bool) -> bool:
    from scipy.optimize import linear_sum_assignment

    fits = costs <= bound
    if doubling:
        return bool(fits.any(axis=0).all() and fits.any(axis=1).all())
    return bool((~fits)[linear_sum_assignment(~fits)].sum() == 0)


def by_arrays(a: Notes, b: Notes, norm: float, doubling: bool) -> int:
    return int(least_all([a], [b], norm, doubling=doubling)[0, 0])


def of_the_pairs(a: Notes, b: Notes, norm: float, doubling: bool) -> int:
    pairs = matching.smoothest(a, b, norm, doubling=doubling)
    assert {i for i, _ in pairs} == set(range(len(a)))
    assert {j for _, j in pairs} == set(range(len(b)))
    assert doubling or len(pairs) == len(a)
    return measure((size(a[i], b[j]) for i, j in pairs), norm)


@pytest.fixture(params=[matching.least, by_arrays, of_the_pairs, by_scipy])
def exact(request: pytest.FixtureRequest) -> Exact:
    """Return one of the ways to the least measure; brute force is the other side."""
    found: Exact = request.param
    return found


@pytest.mark.parametrize("norm", NORMS)
@pytest.mark.parametrize("doubling", [False, True])
def test_small_chords_against_brute_force(exact: Exact, norm: float, doubling: bool) -> None:
    """Every chord of up to three notes, repeated ones too, from one that contains 0."""
    for n, m in product((1, 2, 3), repeat=2):
        if n != m and not doubling:
            continue
        pairs = [
            (a, b)
            for a in combinations_with_replacement(range(12), n)
            if a[0] == 0
            for b in combinations_with_replacement(range(12), m)
        ]
        for a, b in pairs[:: 1 if n + m < 5 else 97]:
            assert exact(a, b, norm, doubling=doubling) == brute_force(a, b, norm, doubling), (a, b)


@given(chords, chords, st.sampled_from(NORMS))
def test_four_notes_with_doubling(a: Notes, b: Notes, norm: float) -> None:
    if len(a) * len(b) > 12:
        a = a[:3]
    expected = brute_force(a, b, norm, True)
    for exact in (matching.least, by_arrays, of_the_pairs, by_scipy):
        assert exact(a, b, norm, doubling=True) == expected


@given(st.data(), st.sampled_from(NORMS), st.booleans())
def test_large_chords_against_scipy(data: st.DataObject, norm: float, doubling: bool) -> None:
    """Chords of up to twelve notes, and of any two sizes with doubling."""
    notes = st.integers(0, 11)
    a = tuple(sorted(data.draw(st.lists(notes, min_size=1, max_size=12))))
    length = 12 if doubling else len(a)
    least = 1 if doubling else len(a)
    b = tuple(sorted(data.draw(st.lists(notes, min_size=least, max_size=length))))
    expected = by_scipy(a, b, norm, doubling)
    for exact in (matching.least, by_arrays, of_the_pairs):
        assert exact(a, b, norm, doubling=doubling) == expected


def all_permutations(a: np.ndarray, b: np.ndarray, norm: float) -> np.ndarray:
    """Return the least measure over all bijections, of all rows of a with all rows of b."""
    best = None
    for turned in permutations(range(b.shape[1])):
        steps = np.abs(a[:, None, :] - b[None, :, list(turned)])
        steps = np.minimum(steps, 12 - steps)
        if norm == 2:
            steps = steps**2
        total = steps.max(axis=2) if norm == math.inf else steps.sum(axis=2)
        best = total if best is None else np.minimum(best, total)
    assert best is not None
    return best


@pytest.mark.parametrize("row", rows("vl_lemma")[:4], ids=lambda row: row["cardinality"])
def test_the_lemma_exhaustively(row: dict[str, str]) -> None:
    """Assignment with circular costs equals the crossing-free optimum: theory and proof in
    ``voiceleading``; ``vl_lemma.tsv`` says for how many pairs it was checked, and these are they.
    """
    assert row["assignment_eq_crossingfree_L1_L2_Linf"] == "1"
    n = int(row["cardinality"])
    choose = combinations_with_replacement if row["multisets"] == "1" else combinations
    every = list(choose(range(12), n))
    with_0 = [chord for chord in every if chord[0] == 0]
    assert len(every) * len(with_0) == int(row["pairs_checked"])
    for norm in NORMS:
        ours = least_all(with_0, every, norm, doubling=False)
        theirs = all_permutations(np.array(with_0, np.int8), np.array(every, np.int8), norm)
        assert (ours == theirs).all()


@pytest.mark.parametrize("row", rows("vl_lemma")[4:], ids=lambda row: row["cardinality"])
def test_the_lemma_on_samples(row: dict[str, str]) -> None:
    """The table's samples of larger chords; here fewer of them, against scipy."""
    rng = np.random.default_rng(int(row["cardinality"]))
    n = int(row["cardinality"])
    for _ in range(int(row["pairs_checked"]) // 100):
        if row["multisets"] == "1":
            drawn = [rng.integers(0, 12, n) for _ in range(2)]
        else:
            drawn = [rng.choice(12, n, replace=False) for _ in range(2)]
        a, b = (tuple(sorted(chord.tolist())) for chord in drawn)
        for norm in NORMS:
            assert matching.least(a, b, norm, doubling=False) == by_scipy(a, b, norm, False)


class TestEvery:
    """All best matchings are found, each once."""

    @given(chords, st.data(), st.sampled_from(NORMS))
    def test_one_to_one(self, a: Notes, data: st.DataObject, norm: float) -> None:
        b = data.draw(chords.filter(lambda chord: len(chord) == len(a)))
        best = brute_force(a, b, norm, False)
        theirs = {
            tuple(sorted(zip(a, turned, strict=True)))
            for turned in permutations(b)
            if measure(map(size, a, turned), norm) == best
        }
        found = list(matching.every(a, b, norm, doubling=False))
        assert {tuple(sorted((a[i], b[j]) for i, j in pairs)) for pairs in found} == theirs
        assert matching.count(a, b, norm, doubling=False) == len(theirs)

    @given(st.sets(st.integers(0, 11), min_size=1, max_size=4), st.data(), st.sampled_from(NORMS))
    def test_with_doubling(self, notes: set[int], data: st.DataObject, norm: float) -> None:
        a = tuple(sorted(notes))
        most = 12 // len(a)
        other = data.draw(st.sets(st.integers(0, 11), min_size=1, max_size=min(most, 4)))
        b = tuple(sorted(other))
        best = brute_force(a, b, norm, True)
        theirs = {
            tuple(cover)
            for cover in covers(a, b)
            if measure((size(a[i], b[j]) for i, j in cover), norm) == best
            and not any(_spare(pair, cover) for pair in cover)
        }
        found = [tuple(sorted(pairs)) for pairs in matching.every(a, b, norm, doubling=True)]
        assert len(found) == len(set(found)) == matching.count(a, b, norm, doubling=True)
        assert set(found) == theirs


def _spare(pair: tuple[int, int], cover: list[tuple[int, int]]) -> bool:
    """Say whether a voice could be left out: both of its notes have another."""
    others = [each for each in cover if each != pair]
    return any(i == pair[0] for i, _ in others) and any(j == pair[1] for _, j in others)


def test_the_smoothest_crosses_nowhere() -> None:
    """Of the ties the one with the least squares: no exchange of two ends makes it smoother."""
    for a in combinations(range(12), 3):
        for b in ((0, 1, 6), (2, 6, 9), (0, 4, 8)):
            pairs = matching.smoothest(a, b, 1, doubling=False)
            squares = sum(size(a[i], b[j]) ** 2 for i, j in pairs)
            ties = matching.every(a, b, 1, doubling=False)
            assert squares == min(sum(size(a[i], b[j]) ** 2 for i, j in tie) for tie in ties)


def test_chords_without_notes() -> None:
    for norm in NORMS:
        assert matching.least((), (), norm, doubling=False) == 0
        assert matching.smoothest((), (), norm, doubling=False) == []
        assert matching.count((), (), norm, doubling=False) == 1
        assert least_all([()], [()], norm, doubling=True).tolist() == [[0]]
