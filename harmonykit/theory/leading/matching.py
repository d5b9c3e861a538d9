"""Notes matched to notes at the least cost, round the circle of twelve.

Conventions.  Chords here are sorted tuples of pitch classes, in which a note may stand twice; a
*pair* (i, j) is a voice from note i of the first to note j of the second.  Costs are whole numbers:
semitones for norm 1, their squares for norm 2; for norm ``math.inf`` no voice may move further than
the least bound that lets all notes be matched.  Chords of one size are matched one to one; with
doubling every note has at least one voice, and no voice could be left out.

References
----------
Dmitri Tymoczko, "The Geometry of Musical Chords", *Science* 313 (2006) 72-74, and its supporting
material: crossing-free voice leadings, and a polynomial method for those with doubling.
"""

import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

from harmonykit.theory.leading.staircase import Least, Notes, Pair, Price, total, totals, way_back

Costs = list[list[int]]
Prices = list[list[Price]]

SIZES = [[min((y - x) % 12, (x - y) % 12) for y in range(12)] for x in range(12)]

_NEVER = 1 << 40
# A cost that also chooses among ties: norm first, then the other norm, then the fewest voices.
_NORM, _OTHER, _VOICE = 1 << 20, 1 << 5, 1


def least(a: Notes, b: Notes, norm: float, *, doubling: bool) -> int:
    """Return the least sum of semitones (norm 1), of squares (2), or largest move (infinity).

    Examples
    --------
    >>> [least((0, 4, 7), (2, 6, 9), norm, doubling=False) for norm in (1, 2)]
    [6, 12]
    """
    if not a:
        return 0
    found: int = least_of(_costs(a, b, plain_cost(norm)), norm, doubling=doubling)
    return found


def least_of(
    prices: Prices,
    norm: float,
    *,
    doubling: bool,
    fewest: Least = min,
    most: Least = max,
) -> Price:
    """Return the least price of a matching round the circle.

    Parameters
    ----------
    prices : rows of numbers, or of arrays
        Of a voice from each note of the first chord to each note of the second; arrays hold a
        number for each of many pairs of chords.
    norm, doubling
        As for ``least``; without doubling there are as many rows as columns.
    fewest, most : callable
        The least and the greatest of several prices.
    """
    if not doubling:
        together = most if norm == math.inf else sum
        return fewest(together(prices[i][j] for i, j in way) for way in _rotations(len(prices)))
    if norm == math.inf:  # the Hausdorff distance: each note goes to its nearest
        return most(fewest(line) for line in (*prices, *zip(*prices, strict=True)))
    return fewest(total(closed, fewest) for closed in _closed(prices))


def smoothest(a: Notes, b: Notes, norm: float, *, doubling: bool) -> list[Pair]:
    """Return the pairs of a best matching; among ties, one that has no crossing and no wide leap.

    Examples
    --------
    >>> smoothest((0, 2), (2, 4), 1, doubling=False)
    [(0, 0), (1, 1)]
    """
    if not a:
        return []
    costs = _costs(a, b, _fine_cost(norm, least(a, b, math.inf, doubling=doubling)))
    if not doubling:
        return min(_rotations(len(a)), key=lambda pairs: sum(costs[i][j] for i, j in pairs))
    if len(a) < len(b):
        return sorted((i, j) for j, i in _cheapest_staircase(_transposed(costs)))
    return sorted(_cheapest_staircase(costs))


def _costs(a: Notes, b: Notes, cost: Callable[[int], int]) -> Costs:
    return [[cost(SIZES[x][y]) for y in b] for x in a]


def _transposed(costs: Costs) -> Costs:
    return [list(column) for column in zip(*costs, strict=True)]


def plain_cost(norm: float) -> Callable[[int], int]:
    """Return what a move costs by a norm: its semitones, or their square for norm 2."""
    return (lambda size: size * size) if norm == 2 else (lambda size: size)


def _fine_cost(norm: float, bound: int) -> Callable[[int], int]:
    """Return the norm's own cost of a move, finer costs below it; all are convex in the move."""

    def cost(size: int) -> int:
        if norm == 1:
            return size * _NORM + size * size * _OTHER + _VOICE
        fine = size * size * _NORM + size * _OTHER + _VOICE
        return fine if norm == 2 or size <= bound else _NEVER

    return cost


def _rotations(n: int) -> Iterator[list[Pair]]:
    """Give the matchings of n notes with n in which no voices cross."""
    return ([(i, (i + turn) % n) for i in range(n)] for turn in range(n))


def _closed(prices: Prices) -> Iterator[list[list[Price]]]:
    """Give, for each note that the first note may go to, the prices of the staircases from there.

    With doubling and no crossing, the voices taken in order round the circle make a staircase.  It
    closes when both chords have come round, at the corner opposite to where it set out; that corner
    is the first pair again and free.
    """
    for first in range(len(prices[0])):
        turned = [row[first:] + row[: first + 1] for row in prices]
        turned.append([*turned[0][:-1], 0])
        yield turned


def _cheapest_staircase(costs: Costs) -> list[Pair]:
    n, m = len(costs), len(costs[0])
    every = [list(totals(closed)) for closed in _closed(costs)]
    first = min(range(m), key=lambda start: every[start][n][m])
    return [(i % n, (first + j) % m) for i, j in way_back(every[first])[1:]]


class _State(NamedTuple):
    """Which notes of the second chord have voices, as bits.

    ``shared`` have one from a note that goes nowhere else, so more of the kind may join; ``closed``
    may have no other.
    """

    shared: int = 0
    closed: int = 0


class _Node(NamedTuple):
    """A way to have matched the first notes: its cost, in how many ways, and the last steps."""

    cost: int
    ways: int
    back: tuple[tuple[_State, tuple[int, ...]], ...]


_Layer = dict[_State, _Node]


def count(a: Notes, b: Notes, norm: float, *, doubling: bool) -> int:
    """Return how many matchings are best; two that differ between equal notes alone are one.

    Examples
    --------
    >>> [count((0, 4, 7), (2, 6, 9), norm, doubling=False) for norm in (1, 2)]
    [2, 1]
    >>> count((0, 0, 7), (2, 2, 7), 1, doubling=False)
    1
    """
    if len(set(a)) == len(a) and len(set(b)) == len(b):
        return sum(node.ways for node in _layers(a, b, norm, doubling=doubling)[-1].values())
    matchings = every(a, b, norm, doubling=doubling)
    return len({tuple(sorted((a[i], b[j]) for i, j in pairs)) for pairs in matchings})


def every(a: Notes, b: Notes, norm: float, *, doubling: bool) -> Iterator[list[Pair]]:
    """Give all best matchings, those too in which voices cross.

    Examples
    --------
    >>> list(every((0, 2), (2, 4), 1, doubling=False))
    [[(0, 0), (1, 1)], [(0, 1), (1, 0)]]
    """
    layers = _layers(a, b, norm, doubling=doubling)

    def back(i: int, state: _State) -> Iterator[list[Pair]]:
        if i == 0:
            yield []
        for before, chosen in layers[i][state].back if i else ():
            for pairs in back(i - 1, before):
                yield pairs + [(i - 1, j) for j in chosen]

    for state in layers[-1]:
        yield from back(len(a), state)


def _layers(a: Notes, b: Notes, norm: float, *, doubling: bool) -> list[_Layer]:
    """Match the notes of the first chord one after another; keep what can still come out best.

    Of the ways to one state only the cheapest can: the notes still to come do not see the others.
    """
    goal = least(a, b, norm, doubling=doubling)
    if norm == math.inf:  # within the bound all moves are as good
        costs = _costs(a, b, lambda size: _NEVER * (size > goal))
        goal = 0
    else:
        costs = _costs(a, b, plain_cost(norm))
    layers: list[_Layer] = [{_State(): _Node(0, 1, ())}]
    for i, row in enumerate(costs):
        layer: _Layer = {}
        for state, node in layers[-1].items():
            for chosen, after in _choices(state, len(b), doubling=doubling):
                cost = node.cost + sum(row[j] for j in chosen)
                if cost + _least_left(costs[i + 1 :], after, len(b)) <= goal:
                    _arrive(layer, after, cost, node.ways, (state, chosen))
        layers.append(layer)
    return layers


def _choices(state: _State, m: int, *, doubling: bool) -> Iterator[tuple[tuple[int, ...], _State]]:
    """Give where the next note may go, and what is matched then.

    A note that goes to several must be the only one that comes to each, and the other way round:
    else a voice between them could be left out.
    """
    free = [j for j in range(m) if not (state.shared | state.closed) >> j & 1]
    if not doubling:
        for j in free:
            yield (j,), _State(0, state.closed | 1 << j)
        return
    for j in range(m):
        if not state.closed >> j & 1:
            yield (j,), _State(state.shared | 1 << j, state.closed)
    for bits in range(1, 1 << len(free)):
        if bits.bit_count() > 1:
            chosen = tuple(j for place, j in enumerate(free) if bits >> place & 1)
            yield chosen, _State(state.shared, state.closed | sum(1 << j for j in chosen))


def _least_left(costs: Costs, state: _State, m: int) -> int:
    """Return a cost below which what is left cannot be matched."""
    matched = state.shared | state.closed
    unmatched = [j for j in range(m) if not matched >> j & 1]
    if not costs:
        return _NEVER if unmatched else 0
    here = sum(map(min, costs))
    there = sum(min(row[j] for row in costs) for j in unmatched)
    return max(here, there)


def _arrive(
    layer: _Layer, state: _State, cost: int, ways: int, step: tuple[_State, tuple[int, ...]]
) -> None:
    known = layer.get(state)
    if known is None or cost < known.cost:
        layer[state] = _Node(cost, ways, (step,))
    elif cost == known.cost:
        layer[state] = _Node(cost, known.ways + ways, (*known.back, step))
