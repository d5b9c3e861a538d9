"""Places that come again and choose alike: against every choice there is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.theory.leading.tied import Costs, cheapest

Pairs = Mapping[tuple[int, int], Costs]


def price(own: Sequence[Costs], changes: Pairs, choices: Sequence[int]) -> int:
    total = sum(int(costs[choice]) for costs, choice in zip(own, choices, strict=True))
    return total + sum(int(c[choices[a], choices[b]]) for (a, b), c in changes.items())


@st.composite
def rows(draw: st.DrawFn) -> tuple[list[Costs], dict[tuple[int, int], Costs]]:
    """Draw some places, and a row through them that comes back as it likes."""
    counts = draw(st.lists(st.integers(1, 3), min_size=1, max_size=6))
    walked = draw(st.lists(st.integers(0, len(counts) - 1), max_size=14))
    seed = draw(st.integers(0, 2**16))
    numbers = np.random.default_rng(seed)
    own = [numbers.integers(0, 9, count) for count in counts]
    changes: dict[tuple[int, int], Costs] = {}
    for a, b in pairwise(walked):
        costs = numbers.integers(0, 9, (counts[a], counts[b]))
        changes[a, b] = changes.get((a, b), 0) + costs
    return own, changes


@given(rows())
def test_no_choice_is_cheaper(row: tuple[list[Costs], dict[tuple[int, int], Costs]]) -> None:
    own, changes = row
    found = cheapest(own, changes)
    least = min(price(own, changes, way) for way in product(*(range(len(c)) for c in own)))
    assert price(own, changes, found) == least


@given(rows(), st.integers(1, 6))
def test_where_tables_would_be_too_large_every_place_has_a_choice_still(
    row: tuple[list[Costs], dict[tuple[int, int], Costs]], most: int
) -> None:
    own, changes = row
    found = cheapest(own, changes, most)
    assert all(0 <= choice < len(costs) for choice, costs in zip(found, own, strict=True))


@pytest.mark.parametrize("most", [1, 1 << 18])
def test_a_chain_is_what_dynamic_programming_finds(most: int) -> None:
    # Each place costs least where it differs from the one before, and the first is settled.
    unlike = np.array([[1, 0], [0, 1]])
    own = [np.array([0, 9]), *[np.zeros(2, dtype=np.int64)] * 5]
    found = cheapest(own, {(i, i + 1): unlike for i in range(5)}, most)
    assert price(own, {(i, i + 1): unlike for i in range(5)}, found) <= (0 if most > 1 else 5)


def test_nothing_is_chosen_of_nothing() -> None:
    assert cheapest([], {}) == []


def test_a_place_beside_many_that_have_no_choice_takes_its_own() -> None:
    """More neighbours than numpy's arrays have axes (64); by hand: each wants the second choice."""
    own = [np.array([0, 60]), *(np.array([0]) for _ in range(70))]
    ties = {(0, other): np.array([[1], [0]]) for other in range(1, 71)}
    assert cheapest(own, ties) == [1, *[0] * 70]
    assert cheapest(own, dict(list(ties.items())[:59])) == [0] * 71
