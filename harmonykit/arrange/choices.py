"""The Pareto front as it is shown: its points, and a few of them with the reason to choose each."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted, join_words

Triple = tuple[int, int, int]
"""Semitones that the voices move, millimetres that the hand travels, added chords."""


@dataclass(frozen=True, slots=True)
class Point:
    """An arrangement of the front, with its measures.

    Parameters
    ----------
    arrangement : Arrangement
    values : tuple of int
        Semitones, millimetres, added chords.
    why : str
        The sentence that says why one would choose it; empty where it is not among the choices.
    aim : str
        What it is best for, in a few words.
    """

    arrangement: Arrangement
    values: Triple
    why: str = ""
    aim: str = ""


@dataclass(frozen=True, slots=True)
class Front:
    """Arrangements that no other beats in all measures at once.

    Parameters
    ----------
    points : tuple of Point
        By semitones, then millimetres, then added chords.
    bounded : bool
        Whether labels were counted as one, so that the front may lack some of its points.
    epsilon : tuple of int
        How much worse, in each of the three, a point of the front may be than one that it lacks;
        zero where it is complete.
    """

    points: tuple[Point, ...]
    bounded: bool = False
    epsilon: Triple = (0, 0, 0)

    def choices(self, most: int = 7) -> tuple[Point, ...]:
        """Return a few points, well spread, each with why one would choose it.

        Parameters
        ----------
        most : int
            How many at most.

        Returns
        -------
        tuple of Point

        Examples
        --------
        >>> front = hk.pareto_front("slack_water_waltz", "ukulele", ["leading-tone diminished"])
        >>> len(front.choices(3)), front.choices(3)[-1].aim
        (3, 'least travel of the hand')
        """
        return choose(self.points, most)


def choose(points: Sequence[Point], most: int = 7) -> tuple[Point, ...]:
    """Return at most so many points, well spread, each with the sentence that says why.

    First the least in each of the three; then, again and again, the point that lies farthest from
    all that are chosen, each of the three counted from its least to its greatest.
    """
    if not points:
        return ()
    values = np.array([point.values for point in points], dtype=float)
    spread = values.max(axis=0) - values.min(axis=0)
    places = (values - values.min(axis=0)) / np.where(spread > 0, spread, 1)
    chosen: list[int] = []
    for column in range(3):
        others = [c for c in range(3) if c != column]
        order = np.lexsort((values[:, others[1]], values[:, others[0]], values[:, column]))
        if int(order[0]) not in chosen and len(chosen) < most:
            chosen.append(int(order[0]))
    while len(chosen) < min(most, len(points)):
        gaps = np.abs(places[:, None, :] - places[None, chosen, :]).max(axis=2).min(axis=1)
        farthest = int(gaps.argmax())
        if gaps[farthest] <= 0:
            break
        chosen.append(farthest)
    taken = sorted(chosen)
    picked = [points[place] for place in taken]
    return tuple(
        _told(point, [picked[n] for n in _nearest(places[taken], place)], points)
        for place, point in enumerate(picked)
    )


def _nearest(places: NDArray[np.float64], place: int) -> list[int]:
    """Return the other places, the nearest first."""
    gaps = np.abs(places - places[place])
    order = np.lexsort((gaps.sum(axis=1), gaps.max(axis=1)))
    return [int(other) for other in order if other != place]


def _told(point: Point, others: Sequence[Point], points: Sequence[Point]) -> Point:
    """Return a point with what sets it apart from the other choices, the nearest of them first."""
    aims = _aims(point.values, others, points)
    numbers = ", ".join(_counted(column, value) for column, value in enumerate(point.values))
    head = " and ".join(aims)
    why = f"{head[0].upper()}{head[1:]}: {numbers}."
    if others:
        why = f"{why} The nearest other choice has {_difference(point.values, others[0].values)}."
    return Point(point.arrangement, point.values, why, aims[0])


def _aims(values: Triple, others: Sequence[Point], points: Sequence[Point]) -> list[str]:
    """Return in what no other choice is as good: in all, or among those within some bounds.

    What is said is true of the whole front, and no two choices are told the same: of two that are
    the least within the same bounds, one would beat the other.
    """
    for bounds in _BOUNDS:
        found = [
            _LEAST[column] + _within(values, bounds)
            for column in range(3)
            if column not in bounds and _is_least(values, column, bounds, others, points)
        ]
        if found:
            return found[: 1 if bounds else 3]
    return [_LEAST[0]]


def _is_least(
    values: Triple,
    column: int,
    bounds: tuple[int, ...],
    others: Sequence[Point],
    points: Sequence[Point],
) -> bool:
    def inside(each: Point) -> bool:
        return all(each.values[bound] <= values[bound] for bound in bounds)

    return all(each.values[column] > values[column] for each in others if inside(each)) and all(
        each.values[column] >= values[column] for each in points if inside(each)
    )


def _within(values: Triple, bounds: tuple[int, ...]) -> str:
    said = " and ".join(_counted(bound, values[bound], "no") for bound in bounds)
    if not said:
        return ""
    return f" with {said}" if bounds == (2,) and not values[2] else f" with at most {said}"


def _difference(one: Triple, other: Triple) -> str:
    """Return what another choice has more and less of."""
    gaps = [(column, b - a) for column, (a, b) in enumerate(zip(one, other, strict=True))]
    said = [
        f"{_counted(column, abs(gap))} {'more' if gap > 0 else _LESS[column]}"
        for column, gap in sorted(gaps, key=lambda pair: pair[1] > 0)
        if gap
    ]
    return join_words(said)


def _counted(column: int, value: int, none: str = "0") -> str:
    return f"{value} mm" if column == _TRAVEL else counted(value, _UNITS[column], none)


_TRAVEL = 1
_UNITS, _LESS = ("semitone", "mm", "added chord"), ("fewer", "less", "fewer")
_LEAST = ("least voice movement", "least travel of the hand", "fewest added chords")
# Bounds are told by the plainest: none, then one, added chords before the others.
_BOUNDS: tuple[tuple[int, ...], ...] = ((), (2,), (1,), (0,), (1, 2), (0, 2), (0, 1))
