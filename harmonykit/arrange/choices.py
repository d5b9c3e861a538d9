"""The Pareto front as it is shown: its points, and a few of them with the reason to choose each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from harmonykit.arrange.arrangement import Arrangement

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
        >>> len(front.choices(3)), set(front.choices(3)) <= set(front.choices(100))
        (3, True)
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
    picked = [points[place] for place in sorted(chosen)]
    return tuple(_told(point, points) for point in picked)


def _told(point: Point, points: Sequence[Point]) -> Point:
    least = [min(other.values[column] for other in points) for column in range(3)]
    extremes = [column for column in range(3) if point.values[column] == least[column]]
    semitones, travel, added = point.values
    numbers = (
        f"{semitones} semitones, {travel} mm, {added} added {'chord' if added == 1 else 'chords'}"
    )
    if extremes:
        said = " and ".join(_LEAST[column] for column in extremes)
        why = f"Choose it for the {said}: {numbers}."
    else:
        over = f"{semitones - least[0]} semitones and {travel - least[1]} mm more than the least"
        why = f"Choose it as a compromise, {over}: {numbers}."
    aim = _LEAST[extremes[0]] if extremes else "compromise"
    return Point(point.arrangement, point.values, why, aim)


_LEAST = ("least voice movement", "least travel of the hand", "fewest added chords")
